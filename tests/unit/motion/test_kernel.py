"""The compiled axis against a plain slow twin."""

from collections import deque

import numpy as np
import pytest

from gapwright.motion._kernel import (
    MOTOR,
    SPEED,
    TOOL,
    AxisConstants,
    delayed_command,
    low_passed,
    proportional_command,
    step_axis,
)
from gapwright.motion.axis import Axis, resting_state

MILL = Axis(
    resolution=10e-6, backlash=30e-6, feed_limit=1e-3, retract_limit=3e-3, acceleration=0.5, lag=2.5e-3
)


class PlainAxis:
    """The same axis, in a thousand small pieces of each tick and with a queue of commands."""

    PIECES = 1000

    def __init__(self, axis: AxisConstants) -> None:
        self.axis = axis
        self.commands = deque([0.0] * 20, maxlen=20)
        self.speed = self.motor = self.tool = 0.0

    def step(self, command: float) -> float:
        axis = self.axis
        self.commands.append(command)
        # A command holds for a tick; the lag looks back between two of them.
        whole, part = divmod(axis.lag / axis.tick, 1.0)
        late = self.commands[-1 - int(whole)]
        later = self.commands[-2 - int(whole)]
        wanted = np.clip(late + part * (later - late), -axis.retract_limit, axis.feed_limit)
        piece = axis.tick / self.PIECES
        for _ in range(self.PIECES):
            change = np.clip(wanted - self.speed, -axis.acceleration * piece, axis.acceleration * piece)
            self.motor += (self.speed + 0.5 * change) * piece
            self.speed += change
        stepped = axis.resolution * np.floor(self.motor / axis.resolution + 0.5)
        if self.tool < stepped:
            self.tool = stepped
        elif self.tool > stepped + axis.backlash:
            self.tool = stepped + axis.backlash
        return self.tool


@pytest.mark.parametrize("lag", [0.0, 1e-3, 2.5e-3, 7.2e-3])
def test_axis_agrees_with_its_twin(lag):
    constants = MILL.constants(1e-3)._replace(lag=lag)
    state, plain = resting_state(constants), PlainAxis(constants)
    draws = np.random.default_rng(7).uniform(-4e-3, 4e-3, 40)
    for command in np.repeat(draws, 9):
        tool, twin = step_axis(state, float(command), constants), plain.step(float(command))
        assert abs(state[SPEED] - plain.speed) < 1e-9 * constants.feed_limit
        # The twin's pieces round the corner where the speed is reached.
        assert abs(state[MOTOR] - plain.motor) < 1e-3 * constants.resolution
        near_a_step = abs((plain.motor / constants.resolution) % 1.0 - 0.5) < 0.01
        assert tool == pytest.approx(twin, rel=1e-9, abs=0.0) or near_a_step


def test_lag_delays_by_whole_and_shared_ticks():
    constants = MILL.constants(1e-3)._replace(lag=2.5e-3)
    state = resting_state(constants)
    seen = [delayed_command(state, 1.0 if k == 0 else 0.0, 2.5) for k in range(6)]
    assert seen == [0.0, 0.0, 0.5, 0.5, 0.0, 0.0]


def test_no_lag_answers_in_the_same_tick():
    constants = MILL.constants(1e-3)._replace(lag=0.0)
    assert delayed_command(resting_state(constants), 1.0, 0.0) == 1.0


def test_speed_limits_differ_by_direction():
    constants = MILL.constants(1e-3)._replace(lag=0.0, acceleration=1e3)
    state = resting_state(constants)
    step_axis(state, 9.0, constants)
    assert state[SPEED] == pytest.approx(1e-3, rel=1e-12)
    step_axis(state, -9.0, constants)
    assert state[SPEED] == pytest.approx(-3e-3, rel=1e-12)


def test_acceleration_limits_each_tick():
    constants = MILL.constants(1e-3)._replace(lag=0.0, acceleration=0.1)
    state = resting_state(constants)
    speeds = []
    for _ in range(3):
        step_axis(state, 1e-3, constants)
        speeds.append(state[SPEED])
    assert speeds == pytest.approx([1e-4, 2e-4, 3e-4], rel=1e-9)


def test_tool_stands_on_whole_steps_while_feeding():
    constants = MILL.constants(1e-3)._replace(lag=0.0)
    state = resting_state(constants)
    for _ in range(200):
        steps = step_axis(state, 0.37e-3, constants) / constants.resolution
        assert abs(steps - round(steps)) < 1e-9
    assert state[TOOL] == pytest.approx(200 * 0.37e-6, rel=0.1)


def test_filter_agrees_with_small_steps():
    y = 0.2
    for _ in range(100_000):
        y += (0.9 - y) * 3e-3 / 2e-3 / 100_000
    assert low_passed(0.2, 0.9, 3e-3, 2e-3) == pytest.approx(y, rel=1e-4)
    assert low_passed(0.2, 0.9, 3e-3, 0.0) == 0.9


def test_proportional_command():
    assert proportional_command(0.75, 0.5, 2e-3) == pytest.approx(0.5e-3, rel=1e-12)
