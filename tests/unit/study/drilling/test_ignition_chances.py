"""The rate sampled is the rate of a full scan: thinning, the race of two chances, the ring, the angle."""

import numpy as np
import pytest
from scipy.special import i0, i1

from gapwright.study.drilling._kernel_ignition import (
    around,
    chances,
    draw_need,
    hazard_rate,
    ignition_phase,
    memory_rate,
    place,
    recall,
    remember_from,
    ring_of,
)
from gapwright.study.drilling.records_kept import WAYS
from gapwright.study.grounds import _drilling_state as state
from gapwright.study.grounds._draws import IGNITION, exponential
from tests.unit.study.drilled import setting_of
from tests.unit.study.kernel_rooms import flags, luck, numbers, room

FIRST = "first-build"
DRAWS = 40_000
SIGMAS = 4.0
"""Sampling errors that a share may be off; one honest test in about 16 000 goes beyond."""

TIME, LIFE = 15e-6, 4e-6


def bending(phases: int = 9) -> np.ndarray:
    """Exposure of a stretch whose voltage rises."""
    return np.linspace(0.0, 1.0, phases) ** 2.5


def scanned(row: np.ndarray, rate: float, at: float, fine: int = 200_001) -> float:
    """Share of gaps that have fired up to a time, in stretches, by adding up the true rate in small steps."""
    x = np.linspace(0.0, at, fine)
    exposure = np.floor(x) * row[-1] + np.interp(x % 1.0, np.linspace(0.0, 1.0, row.size), row)
    middle = (x[1:] + x[:-1]) * 0.5
    total = (np.diff(exposure) * np.exp(-middle * TIME / LIFE)).sum()
    return float(1.0 - np.exp(-rate * total))


def fired_at(own: float, extra: float, seed: int, *, stretches: int = 3) -> np.ndarray:
    """When equal stretches that follow each other ignite the gap, in stretches; infinite where none does.

    `own` and `extra` are the hazards of the field and of the fresh memory for a stretch's whole exposure.
    """
    s = setting_of(FIRST)
    w = room(s, gap=12e-6)
    exposure = np.broadcast_to(bending(), (1, 2, 2, 9)).copy()
    keys, counts = luck(seed)
    fired = np.full(DRAWS, np.inf)
    for k in range(DRAWS):
        num = numbers(
            hazard=own / s.hazard_scale,
            nearby=extra / s.hazard_scale / s.remember.gain,
            need=exponential(keys, counts, IGNITION),
            spot_life=LIFE,
            spot_until=1.0,
        )
        flag = flags(spot_known=1)
        remember_from(num, keys, counts)
        for n in range(stretches):
            phase = ignition_phase(s, w, num, flag, keys, counts, exposure, 0, 0, 0.3, 0, 0.6, TIME)
            if phase >= 0.0:
                fired[k] = n + phase
                break
            num[state.SINCE] += TIME
    return fired


def agree(found: float, expected: float, draws: int = DRAWS) -> bool:
    return abs(found - expected) < SIGMAS * np.sqrt(max(expected * (1.0 - expected), 1e-6) / draws)


@pytest.mark.parametrize("rate", [0.3, 5.0, 200.0])
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_thinning_gives_the_rate_of_a_full_scan(rate: float, seed: int) -> None:
    fired = fired_at(0.0, rate, seed)
    for at in (0.2, 0.4, 0.6, 0.8, 1.0, 1.7, 3.0):
        assert agree(float(np.mean(fired <= at)), scanned(bending(), rate, at)), at


def test_a_memory_that_has_faded_ignites_nothing() -> None:
    keys, counts = luck(1)
    s = setting_of(FIRST)
    w = room(s, gap=12e-6)
    num = numbers(spot_life=1e-6, spot_until=8e-6, since=2e-6, nearby=1.0)
    remember_from(num, keys, counts)
    fresh = hazard_rate(s, num) * s.remember.gain
    assert memory_rate(s, w, num, flags(spot_known=1)) == pytest.approx(fresh * np.exp(-2.0))
    num[state.SINCE] = 9e-6
    assert memory_rate(s, w, num, flags(spot_known=1)) == 0.0
    assert memory_rate(s, w, numbers(nearby=1.0), flags(spot_known=1)) == 0.0


@pytest.mark.parametrize("seed", [5, 6])
def test_two_racing_chances_add_up(seed: int) -> None:
    """First of the field and of the memory: the same times as one hazard that is their sum."""
    row, own, extra = bending(), 1.2, 8.0
    first = fired_at(own, extra, seed)
    for at in (0.25, 0.5, 0.75, 1.0, 2.0):
        spent = np.floor(at) + float(np.interp(at % 1.0, np.linspace(0.0, 1.0, row.size), row))
        kept = (1.0 - scanned(row, extra, at)) * np.exp(-own * spent)
        assert agree(float(np.mean(first <= at)), 1.0 - kept), at


def test_what_the_gap_can_take_is_the_lesser_of_both_needs() -> None:
    s = setting_of(FIRST)
    w = room(s, gap=12e-6)
    one = 1.0 / s.hazard_scale
    held = {
        "hazard": 2.0 * one,
        "nearby": one / s.remember.gain,
        "need": 3.0,
        "bound": 1.0,
        "spot_until": 1.0,
    }
    room_left, own, extra = chances(s, w, numbers(again=0.5, **held), flags(spot_known=1))
    assert (room_left, own, extra) == pytest.approx((0.5, 2.0, 1.0))
    assert chances(s, w, numbers(again=5.0, **held), flags(spot_known=1))[0] == pytest.approx(1.5)
    assert chances(s, w, numbers(again=5.0, **held), flags(spot_known=1, at_once=1))[0] == 0.0
    assert chances(s, w, numbers(need=-0.1), flags())[0] == 0.0


def test_the_ring_is_picked_by_its_share_of_the_hazard() -> None:
    s = setting_of(FIRST)
    w = room(s, gap=12e-6)
    n = int(w.sizes[0])
    w.hazard[:] = np.linspace(1.0, 4.0, n) ** 2
    w.hazard[3] = 0.0
    num, flag = numbers(hazard=float(w.hazard.sum())), flags()
    keys, counts = luck(7)
    found = np.bincount([place(s, w, num, flag, keys, counts) for _ in range(DRAWS)], minlength=n)
    for ring in range(n):
        assert agree(found[ring] / DRAWS, w.hazard[ring] / w.hazard.sum()), ring


def test_a_window_around_the_front_changes_no_share() -> None:
    s = setting_of(FIRST)
    w = room(s, gap=12e-6)
    n = int(w.sizes[0])
    w.hazard[:] = np.linspace(1.0, 4.0, n)
    far = float(w.hazard[:4].sum() + w.hazard[n - 5 :].sum())
    num, flag = numbers(hazard=float(w.hazard.sum()), far_hazard=far), flags(work_first=4, work_stop=n - 5)
    keys, counts = luck(13)
    found = np.bincount([place(s, w, num, flag, keys, counts) for _ in range(DRAWS)], minlength=n)
    for ring in range(n):
        assert agree(found[ring] / DRAWS, w.hazard[ring] / w.hazard.sum()), ring


def test_what_memory_ignites_lies_where_a_full_scan_puts_it() -> None:
    """Rings and angles together, against the hazard of every place of the surface by itself."""
    s = setting_of(FIRST)
    w = room(s, gap=12e-6)
    n = int(w.sizes[0])
    w.hazard[:] = np.linspace(1.0, 3.0, n)
    spot, reach = 6, 60e-6
    num = numbers(spot_r=w.work_r[spot], spot_z=0.0, spot_angle=1.0, spot_reach=reach, hazard=w.hazard.sum())
    flag = flags()
    recall(w, num, flag, spot)
    angles = np.linspace(0.0, 2.0 * np.pi, 721)[:-1]
    d2 = w.work_r[:, None] ** 2 + w.work_r[spot] ** 2
    d2 = d2 - 2.0 * w.work_r[:, None] * w.work_r[spot] * np.cos(angles[None, :] - 1.0)
    scan = w.hazard[:, None] * np.exp(-d2 / reach**2) / angles.size
    assert num[state.NEARBY] == pytest.approx(scan.sum(), rel=1e-4)
    keys, counts = luck(8)
    rings, turned = np.zeros(DRAWS, dtype=int), np.zeros(DRAWS)
    for k in range(DRAWS):
        flag[state.WAY] = state.W_PLACE
        rings[k] = place(s, w, num, flag, keys, counts)
        turned[k] = np.cos(num[state.ANGLE] - 1.0)
    for ring in range(n):
        assert agree(float(np.mean(rings == ring)), scan[ring].sum() / scan.sum()), ring
    expected = (scan.sum(axis=0) * np.cos(angles - 1.0)).sum() / scan.sum()
    assert abs(turned.mean() - expected) < SIGMAS * turned.std() / np.sqrt(DRAWS)


@pytest.mark.parametrize("close", [0.0, 0.5, 3.0, 60.0])
def test_angles_keep_as_close_as_they_should(close: float) -> None:
    keys, counts = luck(9)
    turned = np.cos([around(2.0, close, keys, counts) - 2.0 for _ in range(DRAWS)])
    expected = i1(close) / i0(close)
    assert abs(turned.mean() - expected) < SIGMAS * turned.std() / np.sqrt(DRAWS)


def test_debris_ignites_its_share() -> None:
    s = setting_of(FIRST)
    w = room(s, gap=12e-6)
    w.hazard[:] = 1.0
    num, flag = numbers(hazard=float(w.hazard.sum()), debris=3.0 * s.debris_scale), flags()
    keys, counts = luck(10)
    ways = np.zeros(len(WAYS))
    for _ in range(DRAWS):
        flag[state.WAY] = state.W_FIELD
        place(s, w, num, flag, keys, counts)
        ways[flag[state.WAY]] += 1
    assert agree(ways[WAYS.index("debris")] / DRAWS, 0.75)
    assert ways[WAYS.index("field")] + ways[WAYS.index("debris")] == DRAWS


def test_needs_have_the_mean_of_the_hazard_whichever_law() -> None:
    s = setting_of(FIRST)
    two = s._replace(mixture=s.mixture._replace(on=1.0))
    num = numbers(gap_min=9e-6)
    for setting in (s, two):
        keys, counts = luck(11)
        needs = np.array([draw_need(setting, num, keys, counts) for _ in range(DRAWS)])
        assert abs(needs.mean() - 1.0) < SIGMAS * needs.std() / np.sqrt(DRAWS)


def test_a_sum_that_rounding_leaves_short_still_names_a_ring() -> None:
    weights = np.array([0.0, 1.0, 2.0, 0.0])
    assert ring_of(weights, 0, 3, 3.0 + 1e-9) == 2
    assert ring_of(weights, 0, 3, 0.0) == 1
