"""Captures as a person meets them: bring one, look around in it, correct it, set it beside the forecast."""

import gzip
import re
from base64 import b64encode
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.bench import LONG, Bench
from tests.browser.fitness import too_wide, violations
from tests.captured_files import text_capture


@pytest.fixture(scope="module")
def recorded(bench: Bench) -> Path:
    """A capture among the files of the bench."""
    place = bench.folder / "captures"
    place.mkdir(exist_ok=True)
    (place / "run.csv").write_bytes(text_capture())
    return place


def look(page: Page, bench: Bench, name: str = "run.csv") -> None:
    """Open the page of captures and wait until one is drawn."""
    page.goto(f"{bench.address}/#/captures")
    page.locator("#capture-pick").select_option(name, timeout=LONG)
    page.locator(".look svg path.swath").first.wait_for(timeout=LONG)


def drop(page: Page, files: list[tuple[str, bytes]]) -> None:
    """Let files go anywhere on the page."""
    page.evaluate(
        """files => {
          const carried = new DataTransfer();
          for (const [name, text] of files) {
            const bytes = Uint8Array.from(atob(text), letter => letter.charCodeAt(0));
            carried.items.add(new File([bytes], name));
          }
          const event = new DragEvent("drop", { dataTransfer: carried, bubbles: true, cancelable: true });
          window.dispatchEvent(event);
        }""",
        [[name, b64encode(content).decode()] for name, content in files],
    )


def test_without_a_capture_the_page_says_how_to_hook_up(page: Page, bench: Bench) -> None:
    page.goto(f"{bench.address}/#/captures")
    expect(page.get_by_text("A recorder that runs from the mains")).to_be_visible(timeout=LONG)
    expect(page.get_by_role("row").filter(has_text="electrode, at its brush")).to_contain_text(
        "shorts the store"
    )
    expect(page.locator("img")).to_be_visible()


@pytest.mark.parametrize("size", ["page", "phone"])
def test_a_capture_says_in_words_what_the_sparks_did(
    size: str, bench: Bench, recorded: Path, request: pytest.FixtureRequest
) -> None:
    page: Page = request.getfixturevalue(size)
    look(page, bench)
    expect(page.locator("h1")).to_have_text(re.compile("gap|nothing stands out", re.IGNORECASE))
    expect(page.get_by_text(re.compile(r"sparks in \d+"))).to_be_visible()
    expect(page.get_by_role("heading", name="Energies of the sparks")).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")


def test_one_looks_closer_down_to_single_samples(page: Page, bench: Bench, recorded: Path) -> None:
    look(page, bench)
    figure = page.locator(".look")
    figure.focus()
    for _ in range(16):
        page.keyboard.press("+")
    expect(page.get_by_text("samples drawn")).to_be_visible()
    expect(figure.locator("path.sample").first).to_be_attached()
    page.keyboard.press("Home")
    expect(figure.locator("path.swath").first).to_be_visible()


def test_the_spark_under_the_cursor_says_what_it_was_and_why(
    page: Page, bench: Bench, recorded: Path
) -> None:
    look(page, bench)
    page.locator(".look svg").hover(position={"x": 500, "y": 60})
    note = page.locator(".note")
    expect(note).to_contain_text("sure:")
    expect(note).to_contain_text("lasts")
    page.locator(".look svg").click(position={"x": 500, "y": 60})
    row = note.get_attribute("data-row")
    page.get_by_role("button", name="the next").click()
    expect(note).not_to_have_attribute("data-row", row or "")
    seen = page.locator("figcaption p").first
    before = seen.inner_text()
    page.get_by_role("button", name="look close").click()
    expect(seen).not_to_have_text(before, use_inner_text=True)


def test_a_class_is_seen_alone(page: Page, bench: Bench, recorded: Path) -> None:
    look(page, bench)
    marks = page.locator(".look svg g path[opacity]")
    expect(marks.nth(1)).to_be_attached()
    page.get_by_role("checkbox", name="only partial").check()
    expect(marks).to_have_count(1)
    expect(page.get_by_text("Only partial is shown everywhere.")).to_be_visible()
    page.get_by_role("button", name="show all").click()
    expect(marks.nth(1)).to_be_attached()


def test_a_wrong_value_is_said_beside_it_and_a_right_one_is_read(
    page: Page, bench: Bench, recorded: Path
) -> None:
    look(page, bench)
    before = page.get_by_role("row").filter(has_text="open voltage").inner_text()
    page.get_by_text("Correct it").click()
    page.get_by_label("voltage probe").fill("ten")
    expect(page.get_by_role("alert")).to_contain_text("voltage_probe must be a pure number")
    page.get_by_label("voltage probe").fill("2")
    expect(page.get_by_role("alert")).to_have_count(0)
    page.get_by_role("button", name="read it again").click()
    expect(page.get_by_role("row").filter(has_text="open voltage").first).not_to_have_text(
        before, timeout=LONG, use_inner_text=True
    )
    page.get_by_label("voltage probe").fill("")
    page.get_by_role("button", name="read it again").click()
    expect(page.get_by_text("What is shown was read with other values.")).to_have_count(0, timeout=LONG)


def test_the_measured_flow_stands_beside_the_forecast(page: Page, bench: Bench, recorded: Path) -> None:
    look(page, bench)
    expect(page.get_by_text("among discharges").first).to_be_visible(timeout=LONG)
    page.get_by_label("voltage of the supply").fill("24 V")
    page.get_by_label("current of the supply").fill("0.5 A")
    table = page.locator("#stage-panel table")
    expect(table).to_contain_text("given to the generator")
    page.get_by_label("current of the supply").fill("0.5 V")
    expect(page.get_by_role("alert")).to_contain_text("supply_current must be a current in A")


def test_figures_and_tables_leave_the_page(page: Page, bench: Bench, recorded: Path) -> None:
    look(page, bench)
    with page.expect_download() as waited:
        page.get_by_role("link", name="All that was recorded as SVG").click()
    assert "<svg" in waited.value.path().read_text(encoding="utf-8")[:500]
    with page.expect_download() as waited:
        page.get_by_role("link", name="All that was recorded as CSV").click()
    assert (
        "ignited" in waited.value.path().read_text(encoding="utf-8")
        or waited.value.path().stat().st_size > 1000
    )
    for name in ("What the gap did", "Energies of the sparks"):
        with page.expect_download() as waited:
            page.get_by_role("link", name=f"{name} as 16:9 card").click()
        assert waited.value.suggested_filename in ("card-good.png", "card-energy.png")
        assert waited.value.path().read_bytes().startswith(b"\x89PNG")


def test_a_file_dropped_on_any_page_is_kept_and_read(page: Page, bench: Bench, recorded: Path) -> None:
    page.goto(f"{bench.address}/#/folder")
    page.get_by_role("heading", name="Rigs and jobs", level=1).wait_for()
    drop(page, [("my run.csv.gz", gzip.compress(text_capture(120)))])
    expect(page.locator("#capture-pick")).to_have_value("my-run.csv.gz", timeout=LONG)
    page.locator(".look svg path.swath").first.wait_for(timeout=LONG)
    assert gzip.decompress((recorded / "my-run.csv.gz").read_bytes()) == text_capture(120)


def test_the_simulated_drilling_is_recorded_and_read(page: Page, bench: Bench, recorded: Path) -> None:
    look(page, bench)
    page.get_by_role("button", name="record the simulated drilling").click()
    expect(page.locator("#capture-pick")).to_have_value("first-build-simulated.parquet", timeout=LONG)
    expect(page.get_by_text("sparks in 20.0 ms")).to_be_visible(timeout=LONG)


def test_a_hostile_file_is_told_in_one_line_and_what_was_shown_stays(
    page: Page, bench: Bench, recorded: Path
) -> None:
    look(page, bench)
    drop(page, [("cut.csv.gz", gzip.compress(text_capture())[:30_000])])
    alert = page.get_by_role("alert").filter(has_text="must be a whole archive")
    expect(alert).to_be_visible(timeout=LONG)
    assert str(bench.folder) not in alert.inner_text()
    expect(page.locator(".look svg path.swath").first).to_be_visible()


@pytest.mark.parametrize("light", ["light", "dark"])
@pytest.mark.parametrize("width", [1366, 390])
def test_axe_finds_nothing_on_the_page_of_captures(
    browser: Browser, bench: Bench, recorded: Path, light: str, width: int
) -> None:
    def show(page: Page, _place: str) -> None:
        look(page, bench)
        page.get_by_text("among discharges").first.wait_for(timeout=LONG)
        page.get_by_text("Correct it").click()
        page.get_by_text("Before the first capture").click()
        page.get_by_role("button", name="begin with the first").click()
        page.wait_for_timeout(500)

    assert not violations(browser, light=light, width=width, places=("captures",), show=show)


@pytest.mark.parametrize("width", [360, 768, 3840])
def test_the_page_fits_every_width(browser: Browser, bench: Bench, recorded: Path, width: int) -> None:
    def show(page: Page, _place: str) -> None:
        look(page, bench)

    assert not too_wide(browser, width=width, places=("captures",), show=show)
