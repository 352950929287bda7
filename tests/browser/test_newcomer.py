"""What somebody new does: look, understand, change a value, compare, save, come back, take a figure along."""

import re

import pytest
from playwright.sync_api import Page, expect

from tests.browser.bench import LONG, Bench, visit, wait_for_forecast

STAGES = ("supply", "charger", "store", "leads", "gap", "spark", "metal")


@pytest.mark.parametrize("size", ["page", "phone"])
def test_each_stage_says_what_happens_there(size: str, bench: Bench, request: pytest.FixtureRequest) -> None:
    page: Page = request.getfixturevalue(size)
    visit(page, bench)
    seen = set()
    for stage in STAGES:
        page.locator(f"#stage-{stage}").click()
        expect(page.locator(f"#stage-{stage}")).to_have_attribute("aria-selected", "true")
        words = page.locator("#stage-panel .words").inner_text()
        assert len(words.split()) > 10
        seen.add(words)
    assert len(seen) == len(STAGES)


@pytest.mark.parametrize("size", ["page", "phone"])
def test_a_forecast_is_told_in_words_with_a_band(
    size: str, bench: Bench, request: pytest.FixtureRequest
) -> None:
    page: Page = request.getfixturevalue(size)
    visit(page, bench)
    wait_for_forecast(page)
    expect(page.locator("h1")).to_have_text(re.compile("through|a hole", re.IGNORECASE))
    expect(page.get_by_text("entry diameter").first).to_be_visible()
    page.locator("summary", has_text="danger").first.click()
    expect(page.get_by_text("danger:").first).to_be_visible()


def test_a_changed_value_is_compared_saved_and_found_again(page: Page, bench: Bench) -> None:
    visit(page, bench)
    flow = page.locator(".flow svg").first
    before = flow.text_content()
    page.get_by_label("capacitance").first.fill("1.5 uF")
    expect(page.get_by_label("Unsaved changes")).to_contain_text("capacitance")
    expect(page.get_by_role("table").filter(has_text="energy of a spark").first).to_be_visible()
    expect(flow).not_to_have_text(before or "")

    page.get_by_text("compare", exact=True).click()
    page.get_by_role("checkbox", name="second build").check()
    page.keyboard.press("Escape")
    expect(page.get_by_text("to “second build”")).to_be_visible()
    expect(page.locator("table", has_text="there")).to_have_count(2)

    page.get_by_role("button", name="Save rig", exact=True).click()
    expect(page.get_by_text("Saved in first-build.rig.toml.")).to_be_visible()
    text = (bench.folder / "first-build.rig.toml").read_text(encoding="utf-8")
    assert 'capacitance = "1.5 uF"' in text
    assert 'resistance = "180 ohm"' in text
    assert "# polypropylene: small losses, takes pulses and reversal" in text

    page.reload()
    expect(page.get_by_label("capacitance").first).to_have_value("1.5 uF")
    expect(page.get_by_text("Not saved.")).to_have_count(0)


def test_a_figure_is_taken_along(page: Page, bench: Bench) -> None:
    visit(page, bench)
    wait_for_forecast(page)
    with page.expect_download() as waited:
        page.get_by_role("link", name="Where the joules go as SVG").click()
    drawn = waited.value.path().read_text(encoding="utf-8")
    assert "<svg" in drawn[:500]
    with page.expect_download() as waited:
        page.get_by_role("link", name="Where the joules go as CSV").click()
    assert "charging resistor" in waited.value.path().read_text(encoding="utf-8")


def test_the_hole_is_drawn_and_played(page: Page, bench: Bench) -> None:
    visit(page, bench, "hole")
    page.get_by_role("button", name="drill it").wait_for(timeout=LONG)
    electrode = page.locator("path.electrode").first
    ended = electrode.get_attribute("d")
    page.get_by_role("slider", name="Moment of the drilling").fill("300")
    expect(electrode).not_to_have_attribute("d", ended or "")
    page.get_by_role("button", name="go on").click()
    expect(page.get_by_role("button", name="hold")).to_be_visible()


def test_facts_have_sources(page: Page, bench: Bench) -> None:
    visit(page, bench, "facts/liquids")
    expect(page.get_by_text("38 °C (38 to 72 °C)")).to_be_visible()
    expect(page.get_by_role("heading", name="liquids")).to_be_visible()
    expect(page.get_by_role("rowheader").first).to_be_visible()
    page.get_by_label("find").fill("nothing like this")
    expect(page.get_by_role("rowheader")).to_have_count(0)
