"""A leap is its stretches one after the other; where something may happen none is made."""

import numpy as np
import pytest

from gapwright.circuit.map import _map_kernel as charge_kernel
from gapwright.study.drilling._kernel_electric import SPARK, next_discharge
from gapwright.study.drilling._kernel_leaps import L_EXPOSURE, LEVELS, fill_leaps, leap, leap_rooms
from gapwright.study.drilling._kernel_tables import at_phase, phase_integral, weights
from tests.unit.study.drilled import charge, setting_of
from tests.unit.study.kernel_rooms import flags, luck, numbers, room

FIRST, SECOND = "first-build", "second-build"
FAR = 1e300
SIGMAS = 4.0
EXPOSED = 0.02
NEXT_TO_NOTHING = 5e-4  # of the exposure at the open voltage: so little ignites nothing


class Walk:
    """The tables of a rig's drilling, and two ways to go through them."""

    def __init__(self, name: str) -> None:
        self.s, self.map = setting_of(name), charge(name)
        m = self.map.arrays
        self.exposure = phase_integral(m.time, m.gap_volts, self.s.exponent, self.s.hazard_floor)
        self.volts = phase_integral(m.time, m.gap_volts, 1.0, 0.0)
        self.ready = phase_integral(m.time, m.gap_volts, 0.0, self.s.hazard_floor)
        self.table, self.goes = leap_rooms(m)
        fill_leaps(m, self.exposure, self.volts, self.ready, self.table, self.goes)

    def leap(self, chart: int, volts: float, leak: float, level: int, room=FAR, left=1.0, full=FAR):
        """What one leap does: the kernel's answer, and the energies."""
        energy = np.zeros(len(self.map.meters))
        told = leap(
            self.map.arrays, self.table, self.goes, chart, volts, leak, room, left, full, level, energy
        )
        return told, energy

    def steps(self, chart: int, volts: float, leak: float, count: int):
        """The same by single stretches: time, end, exposure, integral of the voltage, energies, charts."""
        m = self.map.arrays
        energy, total, charts = np.zeros(len(self.map.meters)), np.zeros(3), []
        for _ in range(count):
            place = weights(m.volts, m.leaks, volts, leak)
            total[1] += at_phase(self.exposure, chart, *place, m.gap_volts.shape[3] - 1)
            total[2] += at_phase(self.volts, chart, *place, m.gap_volts.shape[3] - 1)
            volts, chart, time = charge_kernel.advance(m, chart, volts, leak, energy)
            total[0] += time
            charts.append(chart)
        return (total[0], volts, total[1], total[2]), energy, charts


@pytest.fixture(scope="module", params=[FIRST, SECOND])
def walk(request: pytest.FixtureRequest) -> Walk:
    return Walk(request.param)


@pytest.mark.parametrize("level", range(LEVELS))
@pytest.mark.parametrize("share", [0.03, 0.21, 0.5, 0.95])
@pytest.mark.parametrize("leaky", [0.0, 0.013, 0.2])
def test_a_leap_is_its_stretches(walk: Walk, level: int, share: float, leaky: float) -> None:
    m = walk.map.arrays
    volts, leak = share * walk.s.open_volts, leaky * m.leaks[-1]
    for chart in range(m.rule.size):
        (got, *told), energy = walk.leap(chart, volts, leak, level)
        if got < 0:
            continue
        expected, spent, charts = walk.steps(chart, volts, leak, 1 << got)
        assert set(charts) == {chart}
        assert told[:2] == pytest.approx(expected[:2], rel=2e-3)
        assert told[3] == pytest.approx(expected[3], rel=2e-3)
        at_full = walk.steps(chart, walk.s.open_volts, 0.0, 1 << got)[0][2]
        assert abs(told[2] - expected[2]) <= EXPOSED * expected[2] + NEXT_TO_NOTHING * at_full
        assert np.abs(energy - spent).max() <= 4e-3 * spent.max()


def test_where_another_chart_follows_no_leap_is_made() -> None:
    second = Walk(SECOND)
    m = second.map.arrays
    for chart in range(m.rule.size):
        for volts in np.linspace(1.0, second.s.open_volts, 40):
            for level in range(LEVELS):
                (got, *_), _ = second.leap(chart, float(volts), 0.0, level)
                if got >= 0:
                    assert set(second.steps(chart, float(volts), 0.0, 1 << got)[2]) == {chart}


def test_a_leap_keeps_within_what_it_may_spend() -> None:
    first = Walk(FIRST)
    volts = 0.5 * first.s.open_volts
    (top, time, end, spent, *_), _ = first.leap(0, volts, 0.0, LEVELS - 1)
    assert top == LEVELS - 1
    for room_left in (0.9 * spent, 0.1 * spent, 0.01 * spent):
        (got, _, _, less, *_), _ = first.leap(0, volts, 0.0, LEVELS - 1, room=room_left)
        assert 0 <= got < top
        assert less < room_left
    assert first.leap(0, volts, 0.0, LEVELS - 1, room=0.0)[0][0] == -1
    assert first.leap(0, volts, 0.0, LEVELS - 1, left=0.4 * time)[0][1] <= 0.4 * time
    full = 0.5 * (volts + end)
    assert first.leap(0, volts, 0.0, LEVELS - 1, full=full)[0][2] <= full


def test_the_tables_of_leaps_grow_with_their_length(walk: Walk) -> None:
    chart = int(np.argmax(walk.goes[:, 1].sum(axis=(1, 2))))
    both = walk.goes[chart, 1] * walk.goes[chart, 2] > 0
    assert both.any()
    assert (
        walk.table[chart, 2, :, :, L_EXPOSURE][both] >= walk.table[chart, 1, :, :, L_EXPOSURE][both]
    ).all()


@pytest.mark.parametrize("name", [FIRST, SECOND])
def test_sparks_come_at_the_same_times_with_leaps_as_without(name: str) -> None:
    """Time to the next spark and its energy, over many of them, within the sampling error of their means."""
    w = Walk(name)
    whole = np.array([_sparks(w, leaps, seed) for seed, leaps in ((1, True), (2, False))])
    assert whole.shape[1] == 2
    for mean, spread in zip(whole[:, :, 0].T, whole[:, :, 1].T, strict=True):
        assert abs(mean[0] - mean[1]) < SIGMAS * np.hypot(*spread)


def _sparks(walk: Walk, leaps: bool, seed: int, count: int = 4000) -> list[tuple[float, float]]:
    """Mean and its sampling error of the times between sparks and of their energies, shape (2, 2)."""
    m, s = walk.map.arrays, walk.s
    w = room(s, gap=12e-6)._replace(leaps=walk.table, goes=walk.goes if leaps else np.zeros_like(walk.goes))
    w.hazard[:] = w.area * 12e-6**-s.exponent
    n = int(w.sizes[0])
    num = numbers(need=1.0, gap_min=12e-6, hazard=float(w.hazard[:n].sum()))
    flag = flags(chart=walk.map.start_chart)
    keys, counts = luck(seed)
    signs = np.array([1.0 if meter.role == "in" else -1.0 for meter in walk.map.meters])
    energy, scratch, facts = np.zeros((2, len(signs))), np.zeros(len(signs)), np.zeros(14)
    found: list[tuple[float, float]] = []
    while len(found) < count:
        what, left = next_discharge(
            s, m, signs, walk.exposure, walk.volts, walk.ready, w, num, flag, keys, counts, energy, scratch,
            facts, 10.0,
        )  # fmt: skip
        assert what == SPARK
        found.append((10.0 - left, facts[1]))
    rows = np.array(found)
    return [(float(x.mean()), float(x.std() / np.sqrt(count))) for x in rows.T]
