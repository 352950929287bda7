"""The drilling on the page: played spark by spark, its gap and classes, two rigs on one clock."""

import re

import pytest
from playwright.sync_api import Page, expect

from tests.browser.bench import LONG, Bench, put_on_desk, visit


def at(page: Page, share: float) -> None:
    """Set the moment of the drilling."""
    slider = page.get_by_label("Moment of the drilling").first
    slider.fill(str(round(1000 * share)))


@pytest.mark.parametrize("size", ["page", "phone"])
def test_a_drilling_is_played_spark_by_spark(size: str, bench: Bench, request: pytest.FixtureRequest) -> None:
    page: Page = request.getfixturevalue(size)
    visit(page, bench, "hole")
    closer = page.get_by_role("img", name=re.compile("Enlarged section of the working end.*mean voltage"))
    closer.wait_for(timeout=LONG)
    at(page, 0.5)
    half = closer.get_attribute("aria-label")
    assert half is not None
    expect(closer.locator("path[opacity]")).to_have_count(40)
    at(page, 0.9)
    expect(closer).not_to_have_attribute("aria-label", half)
    expect(page.get_by_text(re.compile(r"A hundred dots for [\d\u202f]+ discharges"))).to_be_visible()
    expect(page.get_by_role("img", name=re.compile("Gap and mean gap voltage over"))).to_be_visible()
    expect(page.get_by_role("img", name=re.compile("The gap loop is"))).to_be_visible()
    expect(page.get_by_role("heading", name="What ignites the sparks")).to_be_visible()


def test_playing_goes_on_by_itself_and_holds(page: Page, bench: Bench) -> None:
    visit(page, bench, "hole")
    page.get_by_role("button", name="drill it").first.click(timeout=LONG)
    slider = page.get_by_label("Moment of the drilling").first
    expect(slider).not_to_have_value("1000")
    page.get_by_role("button", name="hold").first.click()
    held = slider.input_value()
    page.wait_for_timeout(300)
    assert slider.input_value() == held


def test_two_rigs_are_drilled_on_one_clock(page: Page, bench: Bench) -> None:
    visit(page, bench, "hole")
    page.get_by_text("compare", exact=True).click()
    page.get_by_role("checkbox", name="second build").check()
    page.keyboard.press("Escape")
    page.get_by_role("heading", name="On one clock").wait_for(timeout=LONG)
    at(page, 0.2)
    tiles = page.locator(".tile")
    expect(tiles).to_have_count(2)
    expect(tiles.nth(0)).to_contain_text("deep")
    expect(tiles.nth(1)).to_contain_text("deep")
    at(page, 1.0)
    expect(tiles.nth(0)).to_contain_text("after")
    expect(tiles.nth(1)).to_contain_text("after")


def test_the_table_of_a_drilling_can_be_taken_along(page: Page, bench: Bench) -> None:
    visit(page, bench, "hole")
    link = page.get_by_role("link", name="Gap and mean voltage against time as CSV")
    link.wait_for(timeout=LONG)
    page.get_by_role("img", name=re.compile("Gap and mean gap voltage over")).wait_for(timeout=LONG)
    with page.expect_download() as taken:
        link.click()
    text = taken.value.path().read_text(encoding="utf-8")
    assert text.splitlines()[0].startswith("time_s,depth_m,feed_m,gap_low_m")
    assert len(text.splitlines()) > 100


def test_holes_in_a_row_are_asked_for_stopped_and_told(page: Page, bench: Bench) -> None:
    visit(page, bench, "hole")
    page.get_by_role("heading", name="Holes in a row").wait_for(timeout=LONG)
    holes = page.get_by_label("holes to follow")
    drill = page.get_by_role("button", name="Drill them")
    holes.fill("1")
    drill.click()
    expect(page.get_by_text("holes in a row must be between 2 and 20, got 1")).to_be_visible(timeout=LONG)
    holes.fill("20")
    drill.click()
    page.get_by_role("button", name="stop the row").click()
    expect(drill).to_be_enabled(timeout=LONG)
    page.get_by_role("textbox", name="dress after").fill("1")
    page.get_by_role("textbox", name="dress after").press("Enter")
    holes.fill("2")
    drill.click()
    expect(page.get_by_text("2 holes in a row with one electrode, of 12")).to_be_visible(timeout=LONG)
    expect(
        page.get_by_role("img", name=re.compile("Diameter against the number of the hole: hole 1"))
    ).to_be_visible()
    lines = page.get_by_role("region", name="Each hole of the row").get_by_role("row")
    expect(lines).to_have_count(3)
    expect(lines.nth(1)).to_contain_text("then dress")
    expect(page.get_by_text("after every hole, as the job says")).to_be_visible()
    with page.expect_download() as taken:
        page.get_by_role("link", name="Holes in a row as CSV").click()
    assert (
        taken.value.path().read_text(encoding="utf-8").startswith("hole,finished_share,dressed,time_s.median")
    )
    page.get_by_role("textbox", name="dress after").fill("2")
    page.get_by_role("textbox", name="dress after").press("Enter")
    expect(page.get_by_text("Rig or job have changed since")).to_be_visible()


@pytest.mark.parametrize("size", ["page", "phone"])
def test_a_rig_without_a_liquid_speaks_of_none(
    size: str, bench: Bench, request: pytest.FixtureRequest
) -> None:
    page: Page = request.getfixturevalue(size)
    put_on_desk(page, bench, rig="dry-start", job="dry-start", place="hole")
    closer = page.get_by_role("img", name=re.compile("Enlarged section of the working end.*mean voltage"))
    closer.wait_for(timeout=LONG)
    expect(closer).not_to_have_attribute("aria-label", re.compile("debris|liquid"))
    expect(page.get_by_text("Contact ignites the sparks")).to_be_visible()
    expect(page.get_by_text("A liquid would let the same voltage strike")).to_have_count(1)
    expect(page.get_by_text("Below 0 the electrode presses on the workpiece.")).to_be_visible()
    energies = page.get_by_role("img", name=re.compile("Energies of the sparks, from")).bounding_box()
    assert energies is not None
    # Nearly all sparks have one energy: their pile must not tower over the page.
    assert energies["height"] < 400
    visit(page, bench, "joule/gap")
    expect(page.get_by_text("come within less than a micrometre and touch")).to_be_visible()
