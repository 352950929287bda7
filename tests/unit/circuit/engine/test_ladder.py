"""Modes without well separated terms: peaks inside a step, and values at any time."""

from math import e, sqrt

import numpy as np
import pytest
from scipy.linalg import expm

from gapwright.circuit.engine._ladder_kernel import ROOM, values_by_ladder
from gapwright.circuit.engine._ladder_peak_kernel import ladder_peaks
from gapwright.circuit.engine.engine import run
from gapwright.rig.reading import rig_from_text
from gapwright.study.generator.generator_alone import generator_bench
from gapwright.study.generator.network import network, switched_on
from gapwright.wiring import demo_text

VOLTS, HENRIES, FARADS = 10.0, 1e-3, 1e-6
OHMS = 2.0 * sqrt(HENRIES / FARADS)
DECAY = OHMS / (2.0 * HENRIES)
CRITICAL = np.array(
    [[-OHMS / HENRIES, -1.0 / HENRIES, VOLTS / HENRIES], [1.0 / FARADS, 0.0, 0.0], [0.0, 0.0, 0.0]]
)
"""Coil current, store voltage and a constant, of a loop that just does not ring: its rates are equal."""
EMPTY = np.array([0.0, 0.0, 1.0])
ROWS = np.array([[1.0, -1.0, 0.0], [0.0, 0.0, 1.0], [0.0, 0.0, 0.0]])
"""The current, the same the other way round, and the voltage."""


def peaks_of(duration: float, mine: int = -1) -> tuple[np.ndarray, float]:
    peaks = np.zeros((2, 3))
    high = ladder_peaks(
        CRITICAL, EMPTY, ROWS, duration, peaks, mine, np.zeros((6, 3)), np.zeros((ROOM, 3, 3))
    )
    return peaks, high


@pytest.mark.parametrize("spans", [1.5, 3.0, 40.0, 4000.0])
def test_a_peak_inside_a_long_step_is_found(spans: float) -> None:
    """The current of a loop of two equal rates is V/L t exp(-t/T), at most V/L T/e."""
    highest = VOLTS / (HENRIES * DECAY * e)
    peaks, high = peaks_of(spans / DECAY, mine=0)
    assert peaks[0, 0] == pytest.approx(highest, rel=1e-9)
    assert peaks[1, 1] == pytest.approx(-highest, rel=1e-9)
    assert high == pytest.approx(highest, rel=1e-9)
    assert peaks[0, 2] == pytest.approx(VOLTS * (1.0 - (1.0 + spans) * np.exp(-spans)), rel=1e-6)


def test_a_step_that_ends_before_the_peak_has_its_highest_value_at_its_end() -> None:
    spans = 0.4
    peaks, _ = peaks_of(spans / DECAY)
    assert peaks[0, 0] == pytest.approx(VOLTS / HENRIES * spans / DECAY * np.exp(-spans), rel=1e-9)


def test_values_at_any_time_are_those_of_the_exponential() -> None:
    times = np.array([0.0, 1e-7, 3e-5, 4e-4, 2e-2])
    states = np.array([EMPTY, [0.1, 2.0, 1.0], [-0.2, 7.0, 1.0], [0.0, 3.0, 1.0], [0.3, 0.0, 1.0]])
    found = np.zeros(5)
    row = np.array([2.0, -1.0, 0.5])
    values_by_ladder(CRITICAL, states, times, row, np.zeros((ROOM, 3, 3)), np.zeros(3), found)
    wanted = [row @ expm(CRITICAL * t) @ x for t, x in zip(times, states, strict=True)]
    assert found == pytest.approx(wanted, rel=1e-9)


def test_a_peak_does_not_sink_when_the_run_is_longer() -> None:
    """A store of 10 mF leaves its charger's modes without well separated terms for most of the time."""
    text = demo_text("second-build.rig.toml").replace('"0.47 uF"', '"10 mF"')
    netlist, control = network(generator_bench(rig_from_text(text, "large store")))
    runs = [run(netlist, control, span, initial=switched_on(netlist)) for span in (1e-4, 2e-4, 4e-4, 8e-4)]
    assert min(each.modal_share for each in runs) < 0.5
    peaks = [each.meters["coil"].highest_current for each in runs]
    assert peaks[1:] == pytest.approx([peaks[1]] * 3, rel=1e-6)
    assert peaks[0] < peaks[1]
