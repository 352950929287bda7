"""A browser of the system, and a bench of its own for each module, served by the real program."""

import os
import shutil
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect, sync_playwright

from gapwright.wiring import write_demo
from tests.browser.bench import Bench, open_page

ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]

LOADED = 30_000
"""Milliseconds that a page may take to show what is expected, on a machine with other work."""


def chromium() -> str:
    """Place of the system's browser; without one these tests are skipped, or fail where it is required."""
    found = shutil.which("chromium")
    if not found and os.environ.get("GAPWRIGHT_REQUIRE_CHROMIUM"):
        pytest.fail("chromium is required here and is not installed")
    if not found:
        pytest.skip("chromium is not installed")
    return found


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    place = chromium()
    expect.set_options(timeout=LOADED)
    with sync_playwright() as playwright:
        made = playwright.chromium.launch(executable_path=place, args=ARGUMENTS)
        yield made
        made.close()


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Bench]:
    folder = tmp_path_factory.mktemp("rigs")
    write_demo(str(folder))
    made = Bench(folder)
    made.start()
    made.wait_until_warm()
    yield made
    made.stop()


@pytest.fixture
def page(browser: Browser, bench: Bench) -> Iterator[Page]:
    """A page at laptop size that fails its test if it logs an error or asks for anything elsewhere."""
    context = browser.new_context(viewport={"width": 1366, "height": 850}, accept_downloads=True)
    yield from open_page(context, bench)


@pytest.fixture
def phone(browser: Browser, bench: Bench) -> Iterator[Page]:
    """The same at the size of a phone."""
    context = browser.new_context(viewport={"width": 390, "height": 844}, accept_downloads=True)
    yield from open_page(context, bench)
