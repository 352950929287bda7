"""Fit for everybody: no violation that axe knows, everything by keyboard, every width, light and dark."""

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.bench import LONG, Bench, visit, wait_for_forecast
from tests.browser.fitness import too_wide, violations

PLACES = ("joule/store", "joule/gap", "joule/metal", "hole", "facts/liquids", "folder")


@pytest.mark.parametrize("light", ["light", "dark"])
@pytest.mark.parametrize("width", [1366, 390])
def test_axe_finds_nothing(browser: Browser, bench: Bench, light: str, width: int) -> None:
    def show(page: Page, place: str) -> None:
        visit(page, bench, place)
        if place.startswith(("joule", "hole")):
            page.get_by_text("entry diameter").first.wait_for(timeout=LONG)

    assert not violations(browser, light=light, width=width, places=PLACES, show=show)


@pytest.mark.parametrize("width", [360, 390, 768, 1366, 1920, 3840])
def test_nothing_overflows(browser: Browser, bench: Bench, width: int) -> None:
    def show(page: Page, place: str) -> None:
        visit(page, bench, place)
        page.wait_for_timeout(400)

    assert not too_wide(browser, width=width, places=PLACES, show=show)


def test_everything_by_keyboard(page: Page, bench: Bench) -> None:
    visit(page, bench)
    wait_for_forecast(page)
    page.locator("#stage-store").focus()
    page.keyboard.press("ArrowRight")
    expect(page.locator("#stage-leads")).to_be_focused()
    expect(page.locator("#panel-head")).to_have_text("Leads")
    page.keyboard.press("End")
    expect(page.locator("#stage-metal")).to_be_focused()
    page.keyboard.press("Home")
    expect(page.locator("#stage-supply")).to_be_focused()
    voltage = page.get_by_label("voltage", exact=True)
    for _ in range(6):
        page.keyboard.press("Tab")
        if voltage.evaluate("field => field === document.activeElement"):
            break
    expect(voltage).to_be_focused()
    page.keyboard.press("ArrowDown")
    expect(voltage).to_have_value("68 V")
    page.keyboard.press("Control+z")
    expect(voltage).to_have_value("70 V")


def test_what_has_focus_is_seen(page: Page, bench: Bench) -> None:
    visit(page, bench)
    for _ in range(12):
        page.keyboard.press("Tab")
        outline = page.evaluate(
            "() => { const at = document.activeElement; const own = getComputedStyle(at);"
            " const round = getComputedStyle(at.parentElement);"
            " return [own.outlineStyle, round.outlineStyle].some(style => style !== 'none'); }"
        )
        assert outline


def test_the_first_stop_leads_past_the_head(page: Page, bench: Bench) -> None:
    visit(page, bench)
    page.keyboard.press("Tab")
    expect(page.get_by_text("To the content")).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.locator("main")).to_be_focused()
