"""Nothing is lost and nothing is saved unasked: reloads, other tabs, a server that ends, wrong input."""

import re
from pathlib import Path

from playwright.sync_api import Browser, Page, expect

from tests.browser.bench import Bench, visit, wait_for_forecast


def capacitance(page: Page):
    return page.get_by_label("capacitance").first


def words_of_verdict(page: Page) -> str:
    """The verdict without its figures: they may still be refined."""
    return re.sub(r"[\d.,]+", "", page.locator("h1").inner_text())


def test_an_unsaved_change_survives_a_reload_and_is_undone(page: Page, bench: Bench) -> None:
    visit(page, bench)
    before = capacitance(page).input_value()
    capacitance(page).fill("2.2 uF")
    page.reload()
    expect(capacitance(page)).to_have_value("2.2 uF")
    expect(page.get_by_text("from before the reload")).to_be_visible()
    capacitance(page).fill("3.3 uF")
    page.keyboard.press("Control+z")
    expect(capacitance(page)).to_have_value("2.2 uF")
    page.keyboard.press("Control+y")
    expect(capacitance(page)).to_have_value("3.3 uF")
    page.get_by_role("button", name="Put all back").click()
    expect(capacitance(page)).to_have_value(before)
    assert f'capacitance = "{before}"' in (bench.folder / "first-build.rig.toml").read_text(encoding="utf-8")


def test_wrong_input_is_told_beside_it_in_the_words_of_the_program(page: Page, bench: Bench) -> None:
    visit(page, bench)
    wait_for_forecast(page)
    verdict = words_of_verdict(page)
    with page.expect_response(lambda reply: reply.url.endswith("/api/check/rig")) as waited:
        capacitance(page).fill("15")
    told = waited.value.json()["faults"][0]["says"]
    assert "has no unit" in told
    expect(page.locator(".problem", has_text=told)).to_be_visible()
    expect(capacitance(page)).to_have_attribute("aria-invalid", "true")
    expect(page.get_by_role("button", name="Save rig", exact=True)).to_be_disabled()
    assert words_of_verdict(page) == verdict
    expect(page.get_by_role("tab")).to_have_count(7)


def test_ten_fast_keys_never_queue(page: Page, bench: Bench) -> None:
    visit(page, bench)
    answered: list[str] = []
    page.on(
        "websocket",
        lambda line: line.on("framereceived", lambda frame: answered.append(str(frame))),
    )
    page.reload()
    page.get_by_role("tab").first.wait_for()
    capacitance(page).fill("")
    answered.clear()
    capacitance(page).press_sequentially("1.5 uFarad", delay=15)
    for _ in range(4):
        capacitance(page).press("Backspace")
    expect(page.get_by_role("table").filter(has_text="energy of a spark").first).to_be_visible()
    drillings = {frame.split('"ask":')[1].split(",")[0] for frame in answered if '"forecast"' in frame[:40]}
    assert len(drillings) <= 1


def test_two_tabs_do_not_fight(browser: Browser, page: Page, bench: Bench) -> None:
    visit(page, bench)
    other = page.context.new_page()
    visit(other, bench)
    capacitance(page).fill("1.0 uF")
    capacitance(other).fill("1.2 uF")
    page.reload()
    other.reload()
    expect(capacitance(page)).to_have_value("1.0 uF")
    expect(capacitance(other)).to_have_value("1.2 uF")
    page.get_by_role("button", name="Save rig", exact=True).click()
    expect(page.get_by_text("Saved in first-build.rig.toml.")).to_be_visible()
    other.get_by_role("button", name="Save rig", exact=True).click()
    expect(other.get_by_role("alert")).to_contain_text("Your changes stand on top of the new file")
    expect(capacitance(other)).to_have_value("1.2 uF")
    assert 'capacitance = "1.0 uF"' in (bench.folder / "first-build.rig.toml").read_text(encoding="utf-8")
    other.get_by_role("button", name="Save rig", exact=True).click()
    expect(other.get_by_text("Saved in first-build.rig.toml.")).to_be_visible()
    assert 'capacitance = "1.2 uF"' in (bench.folder / "first-build.rig.toml").read_text(encoding="utf-8")


def test_a_server_that_ends_is_told_and_found_again(page: Page, bench: Bench) -> None:
    visit(page, bench)
    capacitance(page).fill("1.8 uF")
    bench.stop()
    expect(page.get_by_text("has stopped answering")).to_be_visible()
    capacitance(page).fill("1.9 uF")
    bench.start()
    bench.wait_until_warm()
    expect(page.get_by_text("has stopped answering")).to_have_count(0)
    expect(capacitance(page)).to_have_value("1.9 uF")
    wait_for_forecast(page)
    page.get_by_role("button", name="Save rig", exact=True).click()
    expect(page.get_by_text("Saved in first-build.rig.toml.")).to_be_visible()


def test_a_file_that_is_none_says_why(page: Page, bench: Bench, tmp_path: Path) -> None:
    visit(page, bench, "folder")
    wrong = tmp_path / "broken.rig.toml"
    wrong.write_text(
        'file = "rig"\nschema = 1\nname = "broken"\n[supply]\nvoltage = "lots"\n', encoding="utf-8"
    )
    page.get_by_label("Bring a file").set_input_files(wrong)
    expect(page.get_by_role("status")).to_contain_text("supply")
    note = tmp_path / "note.toml"
    note.write_text("this is no file of a rig", encoding="utf-8")
    page.get_by_label("Bring a file").set_input_files(note)
    expect(page.get_by_role("status")).not_to_contain_text("supply.voltage")
