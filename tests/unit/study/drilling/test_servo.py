"""Every control law, lifts and retreats, one tick at a time."""

import numpy as np
import pytest

from gapwright.motion._kernel import RING
from gapwright.study.drilling._kernel_servo import LANDING, sense, servo, wanted_speed
from gapwright.study.grounds import _drilling_state as state
from gapwright.study.grounds._drilling_state import Setting
from tests.unit.study.drilled import setting_of
from tests.unit.study.kernel_rooms import flags, numbers

FIRST = "first-build"


def told(**control: object) -> Setting:
    """The first build with another control law."""
    s = setting_of(FIRST)
    return s._replace(control=s.control._replace(**control))


def calm(s: Setting, felt: float, **more: float) -> np.ndarray:
    """An unshorted gap that is felt as a share."""
    return numbers(**{"felt": felt, "sensed": felt * s.open_volts, "depth": 0.5e-3, "front": 0.5e-3} | more)


@pytest.mark.parametrize("felt", [0.2, 0.55, 0.6, 0.65, 1.0])
def test_the_proportional_law_answers_in_proportion(felt: float) -> None:
    s = told()
    assert wanted_speed(s, calm(s, felt), flags()) == pytest.approx(s.control.gain * (felt - 0.6), rel=1e-12)


def test_the_proportional_law_never_goes_back_faster_than_a_retreat() -> None:
    s = told(gain=1.0)
    assert wanted_speed(s, calm(s, 0.2), flags()) == -s.control.retract_speed


def test_hysteresis_feeds_stands_and_goes_back() -> None:
    s = told(law=state.HYSTERESIS, set_share=0.5, half_band=0.05)
    flag = flags()
    assert wanted_speed(s, calm(s, 0.52), flag) == 0.0
    assert wanted_speed(s, calm(s, 0.56), flag) == s.control.feed_speed
    assert wanted_speed(s, calm(s, 0.47), flag) == s.control.feed_speed
    assert wanted_speed(s, calm(s, 0.44), flag) == -s.control.back_speed
    assert wanted_speed(s, calm(s, 0.53), flag) == -s.control.back_speed


@pytest.mark.parametrize(
    ("senses", "expected"),
    [(state.BY_MEAN, 30.0 / 70.0), (state.BY_STORE, 50.0 / 70.0), (state.BY_DELAY, 0.4)],
)
def test_each_sense_feels_its_own_share(senses: int, expected: float) -> None:
    s = told(senses=senses)._replace(filter=0.0)
    num = numbers(mean=30.0, volts=50.0, ready_time=0.4 * s.tick)
    sense(s, num, flags())
    assert num[state.FELT] == pytest.approx(
        expected * 70.0 / s.open_volts if senses != state.BY_DELAY else 0.4
    )
    assert num[state.SENSED] == 30.0


def test_a_shorted_store_is_felt_as_empty() -> None:
    s = told(senses=state.BY_STORE)._replace(filter=0.0)
    num = numbers(volts=50.0)
    sense(s, num, flags(is_short=1))
    assert num[state.FELT] == 0.0


def test_a_short_is_backed_away_from_until_the_gap_has_recovered() -> None:
    s = told(resume_volts=20.0, short_lift=0.1e-3)
    flag = flags(is_short=1)
    num = calm(s, 0.0)
    assert wanted_speed(s, num, flag) == -s.control.retract_speed
    flag[state.IS_SHORT] = 0
    num[state.SENSED] = 15.0  # above the short threshold, below that of resuming
    num[state.DEPTH] = 0.35e-3
    assert wanted_speed(s, num, flag) == -s.control.retract_speed
    num[state.SENSED] = 40.0
    num[state.DEPTH] = 0.45e-3  # recovered, but not lifted far enough
    assert wanted_speed(s, num, flag) == -s.control.retract_speed
    num[state.DEPTH] = 0.39e-3
    num[state.FELT] = 0.7
    assert wanted_speed(s, num, flag) > 0.0


def lifted(s: Setting) -> tuple[list[float], np.ndarray, np.ndarray]:
    """Depths through one whole lift on the rig's own axis."""
    num = calm(s, 1.0, time=10.0, next_lift=5.0, debris=0.1)
    flag = flags()
    axis_state = np.zeros(RING + int(s.axis.lag / s.axis.tick) + 2)
    axis_state[[0, 1, 3]] = 0.5e-3
    depths = []
    for _ in range(20_000):
        num[state.TIME] += s.tick * s.batch
        servo(s, num, flag, axis_state)
        depths.append(float(num[state.DEPTH]))
        if flag[state.LIFTS] == 1:
            break
    return depths, num, flag


def test_a_periodic_lift_goes_up_comes_down_and_stops_short_of_the_work() -> None:
    s = told(lift_every=5.0, lift_height=1e-3, lift_speed=2e-3)
    depths, num, flag = lifted(s)
    assert flag[state.LIFTS] == 1
    assert abs(min(depths) + 0.5e-3) < 60e-6
    assert max(depths) <= 0.5e-3
    assert abs(depths[-1] - (0.5e-3 - LANDING)) < 30e-6
    assert num[state.NEXT_LIFT] == num[state.TIME] + 5.0


def test_a_lift_as_high_as_the_hole_is_deep_renews_half_the_liquid() -> None:
    s = told(lift_every=5.0, lift_height=0.5e-3, lift_speed=2e-3)
    _, num, _ = lifted(s)
    assert num[state.DEBRIS] == pytest.approx(0.05, rel=1e-12)


def test_without_an_interval_nothing_is_lifted() -> None:
    s = told(lift_every=0.0)
    flag = flags()
    wanted_speed(s, calm(s, 0.7, time=1e6), flag)
    assert flag[state.LIFTING] == 0


def test_retreat_from_a_short_ends_a_millimetre_above_the_front() -> None:
    s = told()
    num = numbers(depth=-0.6e-3, front=0.5e-3)
    axis_state = np.zeros(RING + 8)
    axis_state[[0, 1, 3]] = -0.6e-3
    servo(s, num, flags(is_short=1), axis_state)
    assert num[state.SPEED] == 0.0
