"""The generator's page as a person uses it: scenes, circuit, waveforms, findings, sizing, sweeping."""

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.bench import LONG, Bench, put_on_desk, visit
from tests.browser.fitness import too_wide, violations
from tests.house.code import ROOT

EXAMPLES = sorted((ROOT / "examples").glob("*.rig.toml"))
VIEWS = ("generator/scenes", "generator/size", "generator/sweep")


def open_generator(page: Page, bench: Bench, place: str = "generator/scenes") -> None:
    """Open a view of the generator and wait until it is drawn."""
    visit(page, bench, place)
    page.get_by_text("Fills its store to").wait_for(timeout=LONG)
    if place.endswith("scenes"):
        expect(page.locator(".plots canvas").first).to_be_visible(timeout=LONG)
        expect(page.locator("[data-part]").first).to_be_visible()


def stretch(page: Page, start: str, stop: str) -> None:
    """Look at a stretch."""
    page.get_by_label("from", exact=True).fill(start)
    page.get_by_label("to", exact=True).fill(stop)
    page.get_by_role("button", name="look", exact=True).click()


def test_the_stages_lead_to_the_generator(page: Page, bench: Bench) -> None:
    visit(page, bench, "joule/leads")
    page.get_by_role("link", name="The generator's own page").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("The generator")
    page.get_by_text("Fills its store to").wait_for(timeout=LONG)


def test_the_circuit_has_numbers_beside_its_parts_not_shade_alone(page: Page, bench: Bench) -> None:
    open_generator(page, bench)
    resistor = page.locator("[data-part='charging resistor']")
    expect(resistor).to_contain_text("W")
    expect(resistor.locator("rect")).to_have_count(1)
    page.get_by_label("share of limits").check()
    expect(resistor).to_contain_text("of limit")
    page.get_by_label("peaks").check()
    expect(resistor).to_contain_text("A, ")


def test_a_part_is_read_and_drawn_by_keyboard(page: Page, bench: Bench) -> None:
    open_generator(page, bench)
    page.locator("[data-part='bleeder']").focus()
    page.keyboard.press("Enter")
    draw = page.get_by_role("button", name="draw the current through it")
    draw.focus()
    page.keyboard.press("Enter")
    expect(page.get_by_role("button", name="take out: through the bleeder")).to_be_visible()
    expect(page.locator(".plots").get_by_text("through the bleeder")).to_be_visible()


def test_kicks_of_nanoseconds_do_not_flatten_the_waveforms(page: Page, bench: Bench) -> None:
    open_generator(page, bench)
    whole = page.get_by_label("draw kicks to their end")
    expect(whole).not_to_be_checked()
    expect(
        page.get_by_text("Voltages that fill less than 3 % of this stretch leave the frame")
    ).to_be_visible()
    whole.check()
    expect(page.get_by_text("Everything is drawn, which flattens what lasts longer.")).to_be_visible()
    expect(page.get_by_text("Choose no part by that peak.")).to_be_visible()
    page.get_by_role("radio", name="Start-up").check()
    expect(page.get_by_text("Choose no part by that peak.")).to_have_count(0)


def test_scenes_differ(page: Page, bench: Bench) -> None:
    open_generator(page, bench)
    expect(page.get_by_role("heading", name="What each part carries: spark")).to_be_visible()
    page.get_by_label("Standing arc").check()
    expect(page.get_by_role("heading", name="What each part carries: standing arc")).to_be_visible()
    expect(page.locator("[data-part='gap']")).to_contain_text("W")


def test_waveforms_from_seconds_to_a_nanosecond(page: Page, bench: Bench) -> None:
    open_generator(page, bench)
    stretch(page, "400 us", "400.001 us")
    expect(page.get_by_text("Time counts from 400 µs")).to_be_visible()
    expect(page.locator(".plots canvas")).to_have_count(2)
    stretch(page, "0 s", "2 s")
    expect(page.get_by_text("Time counts from 0 ns of the scene")).to_be_visible(timeout=LONG)
    expect(page.locator(".plots").get_by_text("across the store")).to_be_visible()
    stretch(page, "0 s", "500 s")
    page.get_by_role("button", name="stop the longer look").click()
    expect(page.get_by_label("to", exact=True)).not_to_have_value("500 s")


def test_waveforms_move_and_grow_by_keyboard_and_by_dragging(page: Page, bench: Bench) -> None:
    open_generator(page, bench)
    stretch(page, "100 us", "500 us")
    expect(page.get_by_text("Time counts from 100 µs")).to_be_visible()
    plots = page.get_by_role("group", name="Waveforms")
    plots.focus()
    page.keyboard.press("ArrowRight")
    expect(page.get_by_label("from", exact=True)).to_have_value("200 µs")
    page.keyboard.press("+")
    expect(page.get_by_label("from", exact=True)).to_have_value("300 µs")
    page.keyboard.press("0")
    expect(page.get_by_label("from", exact=True)).to_have_value("0 ns")
    expect(page.get_by_text("Time counts from 0 ns of the scene")).to_be_visible()
    over = page.locator(".plots .u-over").first
    over.scroll_into_view_if_needed()
    box = over.bounding_box()
    assert box is not None
    y = box["y"] + box["height"] / 2
    page.mouse.move(box["x"] + 0.25 * box["width"], y)
    page.mouse.down()
    page.mouse.move(box["x"] + 0.75 * box["width"], y, steps=5)
    page.mouse.up()
    expect(page.get_by_label("from", exact=True)).not_to_have_value("0 ns")


def test_a_wrong_stretch_is_said_beside_it(page: Page, bench: Bench) -> None:
    open_generator(page, bench)
    stretch(page, "soon", "1 ms")
    expect(page.get_by_text('from and to must be times, got "soon"')).to_be_visible()
    stretch(page, "1 ms", "1 ms")
    expect(page.get_by_text("a stretch must last at least 1.00 ns")).to_be_visible()


def test_findings_have_part_limit_margin_and_remedy(page: Page, bench: Bench) -> None:
    open_generator(page, bench)
    first = page.locator("ol > li").first
    expect(first).to_contain_text("limit")
    expect(first).to_contain_text("margin")
    expect(first).to_contain_text("What to do:")


@pytest.mark.parametrize(
    ("what", "form"),
    [
        ("Schematic", "SVG"),
        ("Schematic", "PNG"),
        ("Waveforms", "SVG"),
        ("Waveforms", "PNG"),
        ("Waveforms", "CSV"),
        ("Findings", "Parquet"),
        ("Parts", "CSV"),
    ],
)
def test_everything_can_be_taken_along(page: Page, bench: Bench, what: str, form: str) -> None:
    open_generator(page, bench)
    with page.expect_download() as waiting:
        page.get_by_role("link", name=f"{what} as {form}").click()
    assert waiting.value.path().stat().st_size > 200
    assert waiting.value.suggested_filename.endswith(form.lower())


def test_a_sweep_says_what_is_wrong_runs_and_is_drawn(page: Page, bench: Bench) -> None:
    open_generator(page, bench, "generator/sweep")
    first = page.get_by_label("from", exact=True)
    expect(first).not_to_have_value("")
    first.fill("50 V")
    expect(page.get_by_text("must go from and to values of one kind")).to_be_visible()
    expect(page.get_by_label("to", exact=True)).to_have_attribute("aria-invalid", "true")
    first.fill("100 nH")
    expect(page.get_by_text("must go from and to values of one kind")).to_be_hidden()
    page.get_by_label("points").fill("5")
    page.get_by_role("button", name="Run the sweep").click()
    expect(page.get_by_role("heading", name="5 of 5 points answered")).to_be_visible(timeout=LONG)
    expect(page.get_by_role("img", name="spark peak current against leads.inductance.")).to_be_visible()
    with page.expect_download() as waiting:
        page.get_by_role("link", name="Sweep as CSV").click()
    assert waiting.value.path().read_text(encoding="utf-8").startswith("leads.inductance,")


def test_a_sized_generator_ends_in_a_rig_file(page: Page, bench: Bench) -> None:
    open_generator(page, bench, "generator/size")
    page.get_by_label("spark energy").fill("800")
    expect(page.get_by_text("has no unit")).to_be_visible()
    page.get_by_label("spark energy").fill("0.8 mJ")
    page.get_by_label("spark rate").fill("4 kHz")
    page.get_by_label("step-up").uncheck()
    page.get_by_label("flyback").uncheck()
    page.get_by_text("The proof").click()
    page.get_by_label("members").fill("4")
    expect(page.get_by_text("has no unit")).to_be_hidden()
    page.get_by_role("button", name="Find generators").click()
    expect(page.get_by_role("heading", name="candidates for")).to_be_visible(timeout=LONG)
    name = page.get_by_label("write it into the folder as").first
    name.fill("first-build")
    page.get_by_role("button", name="write", exact=True).first.click()
    expect(page.get_by_text("there is a rig called 'first-build' already")).to_be_visible()
    name.fill("sized")
    page.get_by_role("button", name="write", exact=True).first.click()
    page.get_by_role("button", name="put sized on the desk").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("relaxation")
    assert (bench.folder / "sized.rig.toml").exists()


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda place: place.name)
def test_every_kind_has_its_page(page: Page, bench: Bench, example: object) -> None:
    place = next(each for each in EXAMPLES if each == example)
    name = place.name.removesuffix(".rig.toml")
    (bench.folder / place.name).write_text(place.read_text(encoding="utf-8"), encoding="utf-8")
    put_on_desk(page, bench, rig=name, job="first-build", place="generator/scenes")
    page.get_by_text("Fills its store to").wait_for(timeout=LONG)
    expect(page.locator(".plots canvas").first).to_be_visible(timeout=LONG)
    for scene in ("Start-up", "Short", "Standing arc"):
        page.get_by_label(scene).check()
        expect(page.get_by_role("heading", name=f"What each part carries: {scene.lower()}")).to_be_visible()
    (bench.folder / place.name).unlink()


@pytest.mark.parametrize("light", ["light", "dark"])
@pytest.mark.parametrize("width", [1366, 390])
def test_axe_finds_nothing(browser: Browser, bench: Bench, light: str, width: int) -> None:
    def show(page: Page, place: str) -> None:
        open_generator(page, bench, place)

    assert not violations(browser, light=light, width=width, places=VIEWS, show=show)


@pytest.mark.parametrize("width", [360, 390, 768, 1366, 1920, 3840])
def test_nothing_overflows(browser: Browser, bench: Bench, width: int) -> None:
    def show(page: Page, place: str) -> None:
        open_generator(page, bench, place)

    assert not too_wide(browser, width=width, places=VIEWS, show=show)


def test_a_page_at_rest_asks_for_nothing(page: Page, bench: Bench) -> None:
    open_generator(page, bench)
    page.wait_for_timeout(1500)
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.wait_for_timeout(2000)
    assert not [url for url in asked if "/api/generator" in url]
