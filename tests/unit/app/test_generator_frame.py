"""Kicks of nanoseconds leave the frame of drawn voltages; what lasts, and all else, is drawn whole."""

from types import SimpleNamespace

import numpy as np
import pytest

from gapwright.app.generator_frame import KICKS, frame_of, kicks_said


def traces(*volts, unit="V"):
    """A scene's traces of these lowest and highest values."""
    return SimpleNamespace(
        traces=tuple(SimpleNamespace(unit=unit, low=low, high=high) for low, high in volts)
    )


def charging(slices=1000):
    rise = np.linspace(0.0, 60.0, slices)
    return rise, rise.copy()


def kicking(count, *, to=325.0):
    low, high = charging()
    high[:: len(high) // count][:count] = to
    return low, high


def test_a_rare_kick_leaves_the_frame_which_holds_the_rest():
    frame = frame_of(traces(charging(), kicking(4)))
    assert frame is not None
    low, high = frame
    assert -4.0 < low <= 0.0
    assert 60.0 < high < 80.0


def test_a_kick_downwards_leaves_it_too():
    low, high = charging()
    low[500] = -300.0
    frame = frame_of(traces((low, high)))
    assert frame is not None
    below, above = frame
    assert -15.0 < below < 0.0
    assert 60.0 <= above < 65.0


def test_what_fills_more_than_a_few_hundredths_is_drawn_whole():
    assert frame_of(traces(charging(), kicking(50))) is None


def test_what_sticks_out_a_little_is_drawn_whole():
    assert frame_of(traces(kicking(4, to=75.0))) is None


def test_kicks_alone_are_drawn_whole():
    lead = np.zeros(1000), np.zeros(1000)
    lead[1][3] = 300.0
    assert frame_of(traces(lead)) is None


def test_currents_have_no_frame():
    assert frame_of(traces(kicking(4), unit="A")) is None


@pytest.mark.parametrize(("highest", "said"), [(325.0, KICKS), (72.0, "")])
def test_kicks_are_explained_where_they_are(highest, said):
    meters = [
        SimpleNamespace(part="gap", highest_voltage_v=highest),
        SimpleNamespace(part="store", highest_voltage_v=400.0),
    ]
    assert kicks_said(meters, 70.0) == said
