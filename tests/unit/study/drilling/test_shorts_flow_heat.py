"""Bridges that burn away, parting arcs, flow through the bore, warmth, and why a drilling ends."""

import numpy as np
import pytest

from gapwright.gap.debris import bridging_probability
from gapwright.gap.flushing import bore_flow
from gapwright.study.drilling._kernel_measure import flush, narrowness
from gapwright.study.drilling._kernel_settling import BOILING_FOR, ending, leads_nowhere, warm
from gapwright.study.drilling._kernel_shorts import NEVER, begin_short, bridge_of_debris, go_through_short
from gapwright.study.grounds import _drilling_state as state
from gapwright.study.grounds._drilling_state import Setting
from gapwright.study.grounds.member_setting import PATIENCE
from gapwright.thermal.heating import sheet_rise
from tests.unit.study.drilled import charge, setting_of
from tests.unit.study.kernel_rooms import flags, luck, numbers, room

FIRST, DRY = "first-build", "dry-start"


def shorted(s: Setting, name: str, burn: float):
    """A state that has just entered a short, and what its kernels want."""
    m = charge(name)
    w, num, flag = room(s, gap=12e-6), numbers(volts=40.0), flags(chart=m.start_chart)
    energy, scratch = np.zeros((2, len(m.meters))), np.zeros(len(m.meters))
    signs = np.array([1.0 if meter.role == "in" else -1.0 for meter in m.meters])
    keys, counts = luck(1)
    begin_short(s, m.arrays, signs, w, num, flag, energy, scratch, 5e-6, burn)

    def go_on(left: float) -> float:
        return go_through_short(s, m.arrays, signs, w, num, flag, keys, counts, energy, scratch, left)

    return go_on, w, num, flag, energy, signs


def test_a_bridge_of_debris_burns_away_without_any_retreat() -> None:
    s = setting_of(FIRST)
    go_on, _, num, flag, _, _ = shorted(s, FIRST, s.bridge_burn)
    assert s.bridge_burn == pytest.approx(3.0 * 0.68e-6 * s.open_volts / (70.0 / 180.1), rel=1e-6)
    left = go_on(s.tick)
    assert flag[state.IS_SHORT] == 0
    assert num[state.SHORT_TIME] >= s.bridge_burn
    assert 0.0 < left < s.tick - s.bridge_burn + 1e-6


def test_a_touch_stays_until_the_electrode_goes_back() -> None:
    s = setting_of(FIRST)
    go_on, _, num, flag, _, _ = shorted(s, FIRST, NEVER)
    for _ in range(50):
        assert go_on(s.tick) == 0.0
    assert flag[state.IS_SHORT] == 1
    num[state.DEPTH] -= 5.1e-6
    assert go_on(s.tick) > 0.0
    assert flag[state.IS_SHORT] == 0


def test_bridges_come_as_often_as_the_law_says() -> None:
    s = setting_of(FIRST)._replace(bridging=0.3)
    num, draws = numbers(debris=0.3), 40_000
    keys, counts = luck(3)
    came = np.array([bridge_of_debris(s, num, keys, counts, 5e-6) for _ in range(draws)])
    expected = 0.3 * 0.3 * s.particle / 5e-6
    assert expected == pytest.approx(bridging_probability(0.3, gap=5e-6) * 15.0, rel=1e-12)
    assert abs(np.mean(came > 0.0) - expected) < 4.0 * np.sqrt(expected / draws)
    assert set(came[came > 0.0]) == {s.bridge_retract}
    assert max(bridge_of_debris(s, num, keys, counts, 40e-6) for _ in range(draws)) == 20e-6


def test_a_parting_arc_is_drawn_from_the_supply_and_the_account_still_closes() -> None:
    s = setting_of(DRY)
    calm = s.parting
    assert calm.energy == 0.0  # the store lets the voltage rise too slowly for an arc as the faces part
    arcs = calm._replace(energy=2e-6, drawn=7e-6)
    change = []
    for parting in (calm, arcs):
        given = s._replace(parting=parting)
        go_on, w, num, _, energy, signs = shorted(given, DRY, NEVER)
        num[state.DEPTH] -= 1e-3
        go_on(s.tick)
        change.append((energy.sum(axis=0) @ signs, num[state.STORED], w.way_count[state.W_PARTING]))
    assert abs(change[1][0] - change[0][0]) < 1e-9 * arcs.drawn
    assert change[1][1] == change[0][1]
    assert (change[0][2], change[1][2]) == (0.0, s.batch)


@pytest.mark.source("hagen-poiseuille", "bore 0.2 mm × 150 mm at 0.5 MPa")
def test_at_the_surface_the_bore_alone_decides_the_flow() -> None:
    s = setting_of(FIRST)
    num = numbers()
    flush(s, num)
    assert num[state.FLOW] == pytest.approx(
        bore_flow(0.5e6, bore=0.2e-3, length=150e-3, viscosity=s.flow.viscosity), rel=1e-12
    )


def test_a_narrow_and_deep_gap_takes_from_the_flow_and_debris_stays_longer() -> None:
    s = setting_of(FIRST)
    lives = []
    for narrow in (0.0, 1e18, 1e20):
        num = numbers(narrowness=narrow, front=1e-3)
        flush(s, num)
        lives.append(float(num[state.LIFE]))
    assert lives[0] < lives[1] <= lives[2] <= s.flow.still_life * (1.0 + (1e-3 / s.flow.depth) ** 2)
    num = numbers(narrowness=1e20, front=1e-3, exit=0.1e-3)
    flush(s, num)
    assert float(num[state.LIFE]) == lives[0]  # once it is through, the liquid leaves below


@pytest.mark.source("computed", "radial flow between two parallel discs: 6 ln(b/a)/(pi g³)")
def test_a_flat_gap_takes_what_two_discs_take() -> None:
    s = setting_of(FIRST)
    s = s._replace(flow=s.flow._replace(bore=0.1e-3))
    w = room(s, gap=20e-6)
    outer = float(w.work_r[-1])
    inside = w.work_r[w.work_r <= 0.1e-3][-1]
    assert narrowness(s, w) == pytest.approx(6.0 * np.log(outer / inside) / (np.pi * 20e-6**3), rel=0.05)


def test_without_flow_through_the_bore_depth_decides() -> None:
    s = setting_of(FIRST)
    side = s._replace(flow=s.flow._replace(through=0.0))
    num = numbers(front=float(s.flow.depth))
    flush(side, num)
    assert num[state.LIFE] == pytest.approx(2.0 * s.flow.life)


@pytest.mark.source("fourier", "radial conduction in a sheet")
def test_the_wall_warms_as_a_sheet_does() -> None:
    s = setting_of(FIRST)
    num = numbers(time=1e6, power=5.0, spark_heat=5.0 * s.tick)  # no flow
    warm(s, num)
    k = 1.0 / (2.0 * np.pi * s.heat.plate * s.thickness)
    expected = sheet_rise(
        5.0 * s.heat.to_work,
        thickness=s.thickness,
        conductivity=k,
        inner_radius=s.swept,
        outer_radius=s.heat.outer,
    )
    assert num[state.WALL_RISE] == pytest.approx(expected, rel=1e-9)


def test_flow_carries_the_heat_of_the_sparks_away() -> None:
    s = setting_of(FIRST)
    num = numbers(time=1.0, power=3.0, spark_heat=3.0 * s.tick, flow=1e-7)
    warm(s, num)
    assert num[state.GAP_HEAT] - s.heat.ambient == pytest.approx(
        3.0 * s.heat.to_liquid / (s.heat.flow_capacity * 1e-7), rel=1e-9
    )


def ended(s: Setting, **given: float) -> str:
    num = numbers(**given)
    return state.ENDINGS[ending(s, num, float(num[state.FRONT]), float(num[state.TIP]))]


@pytest.mark.parametrize(
    ("given", "expected"),
    [
        ({}, "still drilling"),
        ({"exit": 1e-3}, "through"),
        ({"tip": 1.0}, "electrode used up"),
        ({"time": 1e6, "progress_at": 1e6}, "time limit"),
        ({"time": 1e6, "progress_at": 1e6, "short_time": 0.91e6}, "only shorts"),
        ({"time": PATIENCE + 1.0}, "starved"),
        ({"time": PATIENCE + 1.0, "short_time": 0.6 * PATIENCE}, "only shorts"),
        # What was shorted before the last progress does not count, and what was not, neither.
        ({"time": 640.0, "progress_at": 399.0, "short_time": 399.0, "short_before": 399.0}, "starved"),
        ({"time": 640.0, "progress_at": 399.0, "short_time": 239.0, "short_before": 0.0}, "only shorts"),
        ({"time": PATIENCE - 1.0}, "still drilling"),
        ({"boiled": BOILING_FOR + 0.1}, "liquid boils"),
    ],
)
def test_every_end_has_its_number(given: dict[str, float], expected: str) -> None:
    assert ended(setting_of(FIRST), **given) == expected


LOOK = PATIENCE + 0.1


@pytest.mark.parametrize(
    ("open_ended", "shorted", "waited", "gained", "ends"),
    [
        (0.0, 0.95, 0.0, 40e-6, "only shorts"),
        (0.0, 0.95, 0.0, 0.0, "only shorts"),
        (0.0, 0.95, 0.0, 60e-6, "still drilling"),
        # Before a limit that the job states anything else is followed, to tell how deep it gets.
        (0.0, 0.85, 0.0, 40e-6, "still drilling"),
        (0.0, 0.0, 0.95, 40e-6, "still drilling"),
        (1.0, 0.85, 0.0, 40e-6, "only shorts"),
        (1.0, 0.25, 0.7, 40e-6, "starved"),
        (1.0, 0.25, 0.3, 40e-6, "time limit"),
        (1.0, 0.85, 0.0, 60e-6, "still drilling"),
        (1.0, 0.25, 0.7, 60e-6, "still drilling"),
    ],
)
def test_what_leads_nowhere_ends(
    open_ended: float, shorted: float, waited: float, gained: float, ends: str
) -> None:
    """1.5 mm in the 660 s left would take 0.53 mm in 240 s; a tenth of that is 53 µm."""
    s = setting_of(FIRST)._replace(open_ended=open_ended)
    num = numbers(time=LOOK, short_time=shorted * LOOK, open_time=waited * LOOK, front=gained)
    assert state.ENDINGS[leads_nowhere(s, num, gained)] == ends
    kept = LOOK if ends == "still drilling" else 0.0
    assert num[state.LOOKED_AT] == kept
    early = numbers(time=0.9 * PATIENCE, short_time=0.9 * PATIENCE)
    assert leads_nowhere(s, early, 0.0) == state.RUNNING


def test_only_the_stretch_since_the_last_look_counts() -> None:
    s = setting_of(FIRST)._replace(open_ended=1.0)
    marks = {"looked_at": 100.0, "looked_front": 30e-6, "looked_short": 100.0, "looked_open": 0.0}
    num = numbers(time=100.0 + LOOK, short_time=110.0, open_time=200.0, **marks)
    assert state.ENDINGS[leads_nowhere(s, num, 31e-6)] == "starved"


def test_a_wall_above_the_boiling_point_is_counted_and_forgiven() -> None:
    s = setting_of(FIRST)
    hot = s._replace(heat=s.heat._replace(plate=1e6))
    num = numbers(time=100.0, power=3.0, spark_heat=3.0 * s.tick, flow=1e-7)
    warm(hot, num)
    warm(hot, num)
    assert num[state.BOILED] == pytest.approx(2.0 * s.tick * s.batch)
    warm(s, num)
    assert num[state.BOILED] == 0.0
