"""What every page is tried for: no violation that axe knows, and nothing wider than the screen."""

import os
from collections.abc import Callable, Sequence

import pytest
from playwright.sync_api import Browser, Page

from tests.house.code import ROOT

AXE = ROOT / "page" / "node_modules" / "axe-core" / "axe.min.js"
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]


def _axe() -> str:
    """The checker's text; it comes with what the page is built of."""
    if not AXE.exists() and os.environ.get("GAPWRIGHT_REQUIRE_CHROMIUM"):
        pytest.fail("axe-core is required here: run make page-check first")
    if not AXE.exists():
        pytest.skip("axe-core is not installed: run make page-check first")
    return AXE.read_text(encoding="utf-8")


def violations(
    browser: Browser, *, light: str, width: int, places: Sequence[str], show: Callable[[Page, str], None]
) -> list[str]:
    """What axe finds in places of the page; `show` opens one of them and waits until it is drawn."""
    checker = _axe()
    context = browser.new_context(
        viewport={"width": width, "height": 850},
        color_scheme="dark" if light == "dark" else "light",
        reduced_motion="reduce",
        bypass_csp=True,
    )
    page = context.new_page()
    found: list[str] = []
    for place in places:
        show(page, place)
        page.evaluate("document.querySelectorAll('main details').forEach(each => (each.open = true))")
        page.evaluate(checker)
        told = page.evaluate(
            "rules => axe.run({runOnly: rules}).then(told => told.violations.map("
            "one => one.id + ': ' + one.nodes.slice(0, 3).map(node => node.html.slice(0, 160)).join(' | ')))",
            RULES,
        )
        found += [f"{place}: {one}" for one in told]
    context.close()
    return found


def too_wide(
    browser: Browser, *, width: int, places: Sequence[str], show: Callable[[Page, str], None]
) -> list[str]:
    """Places of the page that are wider than the screen."""
    context = browser.new_context(viewport={"width": width, "height": 900})
    page = context.new_page()
    found: list[str] = []
    for place in places:
        show(page, place)
        over = page.evaluate("document.documentElement.scrollWidth - innerWidth")
        if over > 0:
            found.append(f"{place} is {over} px too wide at {width} px")
    context.close()
    return found
