"""The report stands by itself and says everything."""

import re
from dataclasses import replace
from html.parser import HTMLParser
from xml.etree import ElementTree

import numpy as np
import pytest

from gapwright.app.demo import compared
from gapwright.app.flow import flow_of
from gapwright.app.forecast import Answer
from gapwright.shell.figures.canvas import NARROW, WIDE, inline_svg, picture_bytes
from gapwright.shell.figures.clock import on_one_clock
from gapwright.shell.figures.depth import depth_against_time, held
from gapwright.shell.figures.flow import flow_across, flow_down
from gapwright.shell.figures.history import class_shares, course_in_time
from gapwright.shell.figures.section import section_to_scale
from gapwright.shell.figures.sparks import few_sparks, spark_energies, spark_places
from gapwright.shell.palette import LIGHT
from gapwright.shell.report.page import report_html
from gapwright.study.grounds.outcome import Banded, HoleRow, RowHole
from tests.made_up import comparison, forecast, ledger, pictures
from tests.made_up_records import recorded

ANSWER = Answer(forecast=forecast(), pictures=pictures())


class Page(HTMLParser):
    """Collects texts, ids, and addresses that a browser would fetch."""

    def __init__(self):
        super().__init__()
        self.texts, self.ids, self.fetched, self.open = [], [], [], []

    def handle_starttag(self, _tag, attributes):
        values = dict(attributes)
        self.ids += [values["id"]] if "id" in values else []
        self.fetched += [
            values[k] for k in ("src", "href", "xlink:href") if k in values and values[k][:1] != "#"
        ]

    def handle_data(self, data):
        self.texts.append(data)


@pytest.fixture(scope="module")
def page_text():
    return report_html([ANSWER])


@pytest.fixture(scope="module")
def page(page_text):
    page = Page()
    page.feed(page_text)
    return page


def test_nothing_is_fetched(page, page_text):
    assert page.fetched == []
    assert re.findall(r"url\((?!#)", page_text) == []
    assert "@import" not in page_text
    assert "<script" not in page_text


def test_marks_of_several_figures_stay_apart(page):
    assert len(page.ids) == len(set(page.ids))


def test_the_verdict_comes_before_the_numbers_and_the_cautions_before_the_flow(page):
    text = " ".join(page.texts)
    places = [
        text.index(part)
        for part in ("Gets through in about", "electrode used", "Cautions", "Follow the joule")
    ]
    assert places == sorted(places)


def test_everything_of_the_forecast_is_said(page):
    text = " ".join(" ".join(page.texts).split())
    for caution in ANSWER.forecast.cautions:
        assert caution.text in text
        assert caution.limit in text
        assert caution.source in text
    for reading in ANSWER.forecast.expected_readings.values():
        assert reading.name in text
        assert reading.if_high in text
    for line in ANSWER.forecast.ledger.accounts:
        assert line.account in text
    assert ANSWER.forecast.outside_range[0].how_far in text
    assert ANSWER.forecast.remarks[0] in text


def test_a_users_words_are_not_markup():
    bad = replace(ANSWER.forecast, rig='<script>alert("x")</script>', verdict="<b>bold</b>")
    text = report_html([replace(ANSWER, forecast=bad)])
    assert "<script" not in text
    assert "<b>bold" not in text


def test_figures_follow_the_ground_of_the_page(page_text):
    drawings = page_text[page_text.index("<svg") :]
    for colour in LIGHT.values():
        assert colour not in drawings


def test_the_same_forecast_gives_the_same_bytes(page_text):
    assert report_html([ANSWER]) == page_text


def test_several_forecasts_stand_on_one_page():
    result = compared([ANSWER, ANSWER])
    text = report_html([ANSWER, ANSWER], heading="Two rigs", beside=result)
    page = Page()
    page.feed(text)
    assert len(page.ids) == len(set(page.ids))
    said = " ".join(" ".join(page.texts).split())
    assert all(sentence in said for sentence in result.sentences)
    assert "38.0 W, 68 %" in text


def stuck():
    """A blind hole, no spark sampled, and nobody through."""
    depth = np.full((3, 240), np.nan)
    depth[:, :100] = np.linspace(0.0, 0.4e-3, 100)
    return replace(
        pictures(),
        spark_energy_j=np.zeros(0),
        gap_amperes=np.zeros(900),
        depth_m=depth,
        hole_radius_m=np.array([0.0, 0.28e-3, 0.29e-3, 0.295e-3]),
        hole_depth_m=np.array([0.38e-3, 0.4e-3, 0.2e-3, 0.0]),
        electrode_depth_m=np.full(40, 0.39e-3),
        new_electrode_depth_m=np.full(2, 12e-3),
    )


FIGURES = {
    "flow across": lambda f, _: flow_across(flow_of(f.ledger)),
    "flow down": lambda f, _: flow_down(flow_of(f.ledger)),
    "depth": lambda f, p: depth_against_time(f, p, WIDE),
    "section": lambda f, p: section_to_scale(f, p, NARROW),
    "sparks": lambda _, p: few_sparks(p, WIDE),
    "energies": lambda _, p: spark_energies(p, NARROW),
}


@pytest.mark.parametrize("name", sorted(FIGURES))
@pytest.mark.parametrize("through", [True, False])
def test_every_figure_can_be_drawn_for_a_hole_that_is_through_and_for_one_that_is_not(name, through):
    figure = FIGURES[name](forecast(gets_through=through), pictures() if through else stuck())
    text = inline_svg(figure, name="x", title="A & B", described='"quoted"')
    ElementTree.fromstring(text)
    assert 'aria-label="A &amp; B: &quot;quoted&quot;"' in text
    assert picture_bytes(figure, dots_per_inch=30.0).startswith(b"\x89PNG")


@pytest.mark.parametrize("draw", [flow_across, flow_down])
def test_the_labels_of_the_flow_do_not_cover_each_other(draw):
    figure = draw(flow_of(ledger()))
    renderer = (
        figure.canvas.get_renderer() if hasattr(figure.canvas, "get_renderer") else figure._get_renderer()
    )
    boxes = [(t.get_text(), t.get_window_extent(renderer)) for t in figure.axes[0].texts if t.get_text()]
    width, height = figure.bbox.width, figure.bbox.height
    for k, (text, box) in enumerate(boxes):
        assert min(box.x0, box.y0) >= 0, text
        assert box.x1 <= width, text
        assert box.y1 <= height, text
        for other, beside in boxes[k + 1 :]:
            assert not box.shrunk(0.98, 0.8).overlaps(beside.shrunk(0.98, 0.8)), (text, other)


def test_the_section_is_to_scale():
    """Half a millimetre takes as many inches across as down."""
    figure = section_to_scale(forecast(), pictures(), WIDE)
    axes = figure.axes[0]
    across = axes.transData.transform((1.0, 0.0))[0] - axes.transData.transform((0.0, 0.0))[0]
    down = axes.transData.transform((0.0, 1.0))[1] - axes.transData.transform((0.0, 0.0))[1]
    assert across == pytest.approx(down, rel=1e-9)


def test_a_curve_stays_where_its_member_ended():
    curve = held(np.array([0.0, 1.0, np.nan, np.nan]), 0.8)
    assert curve.tolist() == [0.0, 0.8, 0.8, 0.8]
    assert held(np.full(3, np.nan), 1.0).tolist() == [0.0, 0.0, 0.0]


def test_each_pulse_of_current_is_one_dot():
    amperes = np.zeros(40)
    amperes[[3, 4, 6, 30]] = [5.0, 9.0, -6.0, 7.0]
    assert spark_places(amperes) == [4, 30]
    assert spark_places(np.zeros(4)) == []


def test_two_rigs_on_one_clock_stand_before_either():
    text = report_html([ANSWER, ANSWER], compared=comparison())
    words = " ".join(text.split())
    assert words.index("takes 0.5 times as long") < words.index('<h2 class="rig">')
    assert "second-build less first-build, member by member" in words
    assert "better in" in words


@pytest.mark.parametrize("width", [WIDE, NARROW])
def test_both_rigs_are_drawn_to_the_same_clock(width):
    axes = on_one_clock(comparison(), width).axes[0]
    lines = {line.get_label(): line for line in axes.lines}
    first, second = lines["first-build"], lines["second-build"]
    assert list(first.get_xdata()) == list(second.get_xdata())
    for line in (first, second):
        assert np.max(np.asarray(line.get_ydata())) == pytest.approx(1.5, rel=1e-12)
    assert first.get_linestyle() != second.get_linestyle()


def test_the_drilling_shown_is_drawn_against_time_where_it_was_kept():
    text = report_html([replace(ANSWER, recorded=recorded())])
    assert "The drilling shown" in text
    assert "The drilling shown" not in report_html([ANSWER])


@pytest.mark.parametrize("width", [WIDE, NARROW])
def test_shares_of_the_classes_fill_the_panel_and_the_gap_keeps_its_extremes(width):
    kept = recorded()
    shares = class_shares(kept.history)
    assert np.nansum(shares, axis=1) == pytest.approx(np.ones(len(shares)), rel=1e-12)
    figure = course_in_time(kept.history, None, thickness=1.5e-3, classes=kept.playback.classes, width=width)
    depth, gap, classes = figure.axes
    assert depth.yaxis_inverted()
    assert gap.get_ylabel() == "gap [µm]"
    assert classes.get_ylim() == (0.0, 1.0)
    names = [text.get_text() for text in classes.get_legend().get_texts()]
    assert names[:3] == ["normal", "partial", "short"]


def test_a_row_of_holes_is_told_where_it_was_asked_for():
    said = Banded(median=2.1e-3, low=1e-3, high=3e-3)
    each = RowHole(
        hole=1,
        finished_share=1.0,
        time_s=Banded(median=160.0, low=70.0, high=None),
        entry_diameter_m=said,
        exit_diameter_m=said,
        wear_length_m=said,
        feed_m=said,
        point_length_m=said,
        electrode_left_m=said,
        dressed=False,
    )
    row = HoleRow(
        count=12,
        members=8,
        holes=(each, replace(each, hole=2)),
        total_time_s=Banded(median=1900.0, low=900.0, high=None),
        drilling_time_s=Banded(median=1000.0, low=800.0, high=None),
        touching_off_time_s=720.0,
        moving_time_s=330.0,
        dressing_time_s=said,
        changing_time_s=said,
        dress_planned=False,
        dressings=said,
        total_electrode_m=Banded(median=26e-3, low=11e-3, high=40e-3),
        holes_per_electrode=said,
        electrodes=said,
        dress_after=None,
        dressing_length_m=None,
        words=("Touch off again before each hole.",),
    )
    page = report_html([Answer(forecast=replace(forecast(), row=row), pictures=pictures())])
    assert "2 holes in a row with one electrode, of 12" in page
    assert page.count("Diameter against the number of the hole") >= 2
    assert "Touch off again before each hole." in page
    assert "2.1\u00a0mm" in page
    assert "holes in a row" not in report_html([ANSWER])
