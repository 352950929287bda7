"""Captures of one run together, words kept with a capture, and a recorded supply beside it."""

import json
import re
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.browser.bench import LONG, Bench
from tests.browser.test_captures_page import drop, look
from tests.captured_files import text_capture


@pytest.fixture
def recorded(bench: Bench) -> Path:
    """A capture among the files of the bench, with nothing said of it yet."""
    place = bench.folder / "captures"
    place.mkdir(exist_ok=True)
    (place / "run.csv").write_bytes(text_capture())
    (place / "run.csv.json").unlink(missing_ok=True)
    return place


def again(page: Page) -> None:
    """Load the page anew and choose the same capture."""
    page.reload()
    page.locator("#capture-pick").select_option("run.csv", timeout=LONG)


def parts(content: bytes, count: int = 2) -> list[bytes]:
    """A capture cut into files, with a hundredth of it lost between them."""
    head, *rows = content.splitlines(keepends=True)
    each = len(rows) // count
    return [head + b"".join(rows[k * each : (k + 1) * each - each // 100]) for k in range(count)]


def test_files_dropped_together_are_read_as_one_run(page: Page, bench: Bench, recorded: Path) -> None:
    look(page, bench)
    first, second = parts(text_capture())
    drop(page, [("shift-10.csv", second), ("shift-9.csv", first)])
    expect(page.get_by_text("Taken in and read as one run: shift-9.csv, shift-10.csv")).to_be_visible(
        timeout=LONG
    )
    understood = page.get_by_label("What was understood")
    expect(understood).to_contain_text("2 files of one run", timeout=LONG)
    expect(understood).to_contain_text("in 2 stretches")
    expect(page.get_by_text("2 stretches with gaps in time between them")).to_be_visible()
    expect(page.locator("#capture-pick option:checked")).to_have_text("2 files of one run")
    page.locator("#capture-pick").select_option("shift-9.csv")
    expect(understood).not_to_contain_text("in 2 stretches", timeout=LONG)


def test_files_that_are_no_one_run_are_refused_in_one_line(page: Page, bench: Bench, recorded: Path) -> None:
    look(page, bench)
    other = text_capture().replace(b"Gap (V)", b"Other (V)")
    drop(page, [("odd-1.csv", text_capture()), ("odd-2.csv", other)])
    alert = page.get_by_role("alert").filter(has_text="files of one run must have the same channels")
    expect(alert).to_be_visible(timeout=LONG)
    page.locator("#capture-pick").select_option("odd-2.csv")
    expect(alert).to_have_count(0, timeout=LONG)
    expect(page.locator(".look svg path.swath").first).to_be_visible(timeout=LONG)


def test_what_is_said_is_kept_with_the_capture_only_when_told(
    page: Page, bench: Bench, recorded: Path
) -> None:
    own = {"file": "capture samples", "schema": 1, "hookup": {"current_channel": "2"}}
    (recorded / "run.csv.json").write_text(json.dumps(own))
    look(page, bench)
    page.get_by_text("Correct it").click()
    expect(page.get_by_label("current", exact=True)).to_have_value("2", timeout=LONG)
    probe = page.get_by_label("voltage probe")
    probe.fill("2")
    expect(page.get_by_text("One value is not kept yet")).to_be_visible()
    assert json.loads((recorded / "run.csv.json").read_text()) == own
    again(page)
    expect(page.get_by_text("Correct it, not kept yet")).to_be_visible(timeout=LONG)
    page.get_by_text("Correct it, not kept yet").click()
    expect(probe).to_have_value("2", timeout=LONG)
    page.get_by_role("button", name="keep with the capture").click()
    expect(page.get_by_text("Kept in run.csv.json")).to_be_visible(timeout=LONG)
    expect(page.get_by_text("not kept yet")).to_have_count(0)
    kept = json.loads((recorded / "run.csv.json").read_text())
    assert kept == {**own, "hookup": {"current_channel": "2", "voltage_probe": 2.0}}
    page.evaluate("localStorage.clear()")
    again(page)
    page.get_by_text("Correct it").click(timeout=LONG)
    expect(probe).to_have_value("2", timeout=LONG)
    level = page.get_by_role("row").filter(has_text="open voltage").first
    expect(level).to_contain_text(re.compile(r"1[56]\d"), timeout=LONG)
    probe.fill("")
    page.get_by_role("button", name="go back to what is kept").click()
    expect(probe).to_have_value("2")


def test_words_that_changed_elsewhere_are_not_lost(page: Page, bench: Bench, recorded: Path) -> None:
    look(page, bench)
    page.get_by_text("Correct it").click()
    page.get_by_label("voltage probe").fill("3")
    other = {"file": "capture samples", "schema": 1, "hookup": {"current_probe": 2.0}}
    (recorded / "run.csv.json").write_text(json.dumps(other))
    page.get_by_role("button", name="keep with the capture").click()
    expect(page.get_by_text("was changed elsewhere")).to_be_visible(timeout=LONG)
    assert json.loads((recorded / "run.csv.json").read_text()) == other
    expect(page.get_by_label("probe on the shunt")).to_have_value("2", timeout=LONG)
    page.get_by_role("button", name="keep with the capture").click()
    expect(page.get_by_text("Kept in run.csv.json")).to_be_visible(timeout=LONG)
    assert json.loads((recorded / "run.csv.json").read_text())["hookup"] == {
        "current_probe": 2.0,
        "voltage_probe": 3.0,
    }


def test_a_recorded_supply_stands_in_for_the_meters(page: Page, bench: Bench, recorded: Path) -> None:
    rows = [f"{k * 1e-5:.6g},{24 + 0.1 * (k % 7):.6g},{0.5 + 0.01 * (k % 5):.6g}" for k in range(5000)]
    (recorded / "supply.csv").write_text("\n".join(["Time (s),Supply (V),Out (A)", *rows]))
    look(page, bench)
    table = page.locator("#stage-panel table")
    expect(table).to_be_visible(timeout=LONG)
    expect(table).not_to_contain_text("given to the generator")
    page.get_by_label("supply recorded as").select_option("supply.csv")
    expect(table).to_contain_text("given to the generator", timeout=LONG)
    expect(table.get_by_role("row").filter(has_text="given to the generator")).to_contain_text("12.6 W")
    page.get_by_label("voltage of the supply").fill("24 V")
    page.get_by_label("current of the supply").fill("0.5 A")
    expect(page.get_by_role("alert").filter(has_text="measured once")).to_be_visible(timeout=LONG)
    page.get_by_label("supply recorded as").select_option("")
    expect(page.get_by_role("alert").filter(has_text="measured once")).to_have_count(0, timeout=LONG)
