"""What is said of a drilling: why it ended and by which number, what ignited it, how warm it got."""

from dataclasses import replace
from types import SimpleNamespace
from typing import cast

import numpy as np
import pytest

from gapwright.study.drilling.drilling import Course
from gapwright.study.drilling.one_member import MemberResult
from gapwright.study.drilling.why_ended import deciding_number
from gapwright.study.forecast.beyond_laws import debris_excess, flow_excess, heat_excess
from gapwright.study.forecast.circumstances import _surety
from gapwright.study.forecast.drilling_remarks import drilling_remarks
from gapwright.study.grounds import _drilling_state as state
from gapwright.study.grounds.assemble import Bench
from tests.unit.study.benches import DRY, FIRST, demo

NOTHING = np.zeros(0)


def done(
    ended: str = "through", *, ways: tuple[float, ...] = (0,) * 6, lifts: int = 0, **numbers: float
) -> Course:
    """A course made by hand."""
    num = np.zeros(state.NUMBERS)
    num[state.HOTTEST] = num[state.HOTTEST_WALL] = 300.15
    for name, value in numbers.items():
        num[getattr(state, name.upper())] = value
    return Course(
        ended=ended, time=100.0, numbers=num, energy=np.zeros((2, 1)), stored=0.0, sparks=5000,
        class_count=NOTHING, class_time=NOTHING, way_count=np.array(ways, dtype=float), lifts=lifts,
        log=NOTHING, trace=NOTHING, work=(NOTHING, NOTHING), tool=(NOTHING, NOTHING),
        new_tool=(NOTHING, NOTHING),
        depth=0.42e-3, worn=9.9e-3, batch=1,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("ended", "numbers", "said"),
    [
        ("standing arc", {}, "an arc in 5 control ticks in a row, where 300 mA keeps one alive"),
        ("electrode used up", {}, "9.9 mm worn off at 420 µm, where 10 mm can be used"),
        (
            "liquid boils",
            {"hottest_wall": 390.15},
            "the hole's wall at up to 117 °C for 10 s, where the liquid boils at 100 °C",
        ),
        ("through", {}, ""),
    ],
)
def test_every_end_names_the_number_that_decided(ended: str, numbers: dict[str, float], said: str) -> None:
    assert deciding_number(demo(FIRST), done(ended, **numbers)) == said


def test_a_starved_drilling_and_one_at_its_limit_say_how_often_it_sparked() -> None:
    starved = replace(done("starved", progress_at=20.0, sparks_before=4520.0), time=260.0)
    assert deciding_number(demo(FIRST), starved) == (
        "240 s without a micrometre of progress at 420 µm, with 2 sparks a second in that time"
    )
    late = replace(done("time limit", short_time=180.0), time=900.0)
    assert deciding_number(demo(FIRST), late) == (
        "420 µm reached in the 900 s allowed, with 5.56 sparks a second and shorts for 20 % of the time"
    )


def test_a_drilling_given_up_says_at_what_pace() -> None:
    num = {"looked_at": 50.0, "looked_front": 0.40e-3, "open_time": 60.0, "looked_open": 20.0}
    pace = "the last 50 s, which took it 20 µm deeper to 420 µm: at that pace not in the 900 s allowed"
    given_up = done("starved", progress_at=90.0, **num)
    assert deciding_number(demo(FIRST), given_up) == f"open and waiting for 80 % of {pace}"
    assert deciding_number(demo(FIRST), done("time limit", progress_at=90.0, **num)) == pace


def test_shorts_without_progress_say_for_how_much_of_that_time() -> None:
    num = {"short_time": 280.0, "short_before": 80.0, "progress_at": 50.0}
    stuck = replace(done("only shorts", **num), time=300.0)
    said = "shorted 80 % of 240 s without a micrometre of progress at 420 µm"
    assert deciding_number(demo(FIRST), stuck) == said


def test_shorts_that_lead_nowhere_say_how_slowly() -> None:
    num = {"short_time": 99.0, "looked_front": 0.40e-3, "looked_short": 50.0, "looked_at": 50.0}
    assert deciding_number(demo(FIRST), done("only shorts", progress_at=90.0, **num)) == (
        "shorted 98 % of the last 50 s, which took it 20 µm deeper to 420 µm: "
        "at that pace not in the 900 s allowed"
    )


def test_a_time_limit_that_was_spent_shorted_says_so() -> None:
    late = replace(done("only shorts", short_time=891.0), time=900.0)
    said = deciding_number(demo(FIRST), late)
    assert said == "shorted 99 % of the 900 s allowed, and 420 µm reached in it"


def test_a_limit_of_ours_is_not_called_the_jobs() -> None:
    free = demo(FIRST, job={"limits.time": None})
    assert "the 14400 s that a forecast follows a drilling" in deciding_number(free, done("time limit"))


def told(bench: Bench, course: Course) -> str:
    return " ".join(drilling_remarks(bench, course))


def test_the_ways_of_ignition_are_counted() -> None:
    said = told(demo(FIRST), done(ways=(30, 50, 20, 0, 0, 0)))
    assert (
        "50 % by what the last spark left at its place, 30 % by the field across the gap, 20 % by debris"
        in said
    )


def test_boiling_is_flagged_with_its_number() -> None:
    calm, hot = told(demo(FIRST), done()), told(demo(FIRST), done(hottest=410.15))
    assert "The liquid in the gap reaches about 27 °C" in calm
    assert "boils" not in calm
    assert "The liquid in the gap boils at 100 °C" in hot
    assert "would take it to about 137 °C" in hot


def test_a_thin_sheet_warms_and_gives_way() -> None:
    thick = told(demo(FIRST), done())
    assert "sheet" not in thick
    thin = demo(FIRST, job={"workpiece.thickness": 0.15e-3})
    said = told(thin, done(hottest_wall=353.15))
    assert "A sheet of 0.15 mm" in said or "A sheet of 150 µm" in said
    assert "warms by about 60 K" in said
    assert "Clamped on one side" not in said
    clamped = demo(FIRST, job={"workpiece.thickness": 0.15e-3, "workpiece.overhang": 10e-3})
    assert "gives way by about 65 µm" in told(clamped, done())


def test_a_dry_rig_says_why_no_arc_forms_as_the_faces_part() -> None:
    said = told(demo(DRY), done())
    assert "No arc forms as the faces part: the charger gives 400 mA, less than" in said
    stronger = demo(DRY, {"generator.resistor.resistance": 60.0})
    assert "beside the store the voltage rises by 36 V/ms" in told(stronger, done())


def test_a_spindle_at_rest_does_not_widen_the_hole() -> None:
    assert "sets the hole aside and does not widen it" in told(demo(DRY), done())
    assert "sets the hole aside" not in told(demo(FIRST), done())


def test_a_law_without_a_margin_is_said_to_have_none() -> None:
    assert "stability margin" not in told(demo(FIRST), done())
    said = told(demo(FIRST, {"controller.law": "hysteresis", "controller.senses": "store-voltage"}), done())
    assert "follows store voltage by the hysteresis law" in said


def test_lifts_are_counted() -> None:
    assert "lifted 7 times" in told(demo(FIRST), done(lifts=7))
    assert "lifted once" in told(demo(FIRST), done(lifts=1))
    assert "lifted" not in told(demo(FIRST), done())


def test_turbulence_in_the_bore_is_outside_the_law() -> None:
    made = demo(FIRST)
    assert flow_excess(made, done(flow=1.3e-7)) == []
    found = flow_excess(made, done(flow=1.3e-6))
    assert found[0].how_far.startswith("Reynolds number 82")
    assert flow_excess(made, replace(done(), batch=1)) == []


def test_heat_beyond_boiling_and_melting_is_outside_the_law() -> None:
    made = demo(FIRST)
    assert heat_excess(made, [done(), done(hottest=350.0)]) == []
    boiling, melting = heat_excess(made, [done(hottest=410.15), done(hottest_wall=2300.15)])
    assert boiling.how_far == "up to 2030 °C, the law holds to the boiling point, 100 °C"
    assert melting.law == "warmth of the hole's wall"
    (only,) = heat_excess(demo(DRY), [done(hottest_wall=2300.15)])
    assert only.law == "warmth of the hole's wall"


def test_debris_at_its_bound_is_outside_the_law() -> None:
    assert debris_excess([done(crowded=0.9)]) == []
    (found,) = debris_excess([done(), done(crowded=42.0)])
    assert found.how_far == "for up to 42 % of the time at the largest share that the law allows"


def test_one_member_has_no_band() -> None:
    only = cast("MemberResult", SimpleNamespace(figure={"time": 100.0}))
    assert _surety([only]) == "One member only, so there are no bands: every number is that of one drilling."
    assert "over 2 members" in _surety([only, only])
