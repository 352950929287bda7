"""A capture without a current: falls of the voltage tell the sparks, the store tells charge and energy."""

from dataclasses import replace

import numpy as np
import pytest

from gapwright.base.errors import InputRefused
from gapwright.capture import voltage_only
from gapwright.capture.classify import NORMAL, PARTIAL, SHORT
from gapwright.capture.reading import understand
from gapwright.capture.score import COUNT_BUDGET, scored
from gapwright.capture.settings import ReadingSettings
from gapwright.capture.waveform import Capture
from tests.made_captures import captured, truth

STORE = ReadingSettings(capacitance=1e-6)


def blind(name: str, recorder: str = "float") -> Capture:
    return replace(captured(name, recorder), current=None, current_from=None)


@pytest.mark.parametrize("recorder", ["float", "twelve bits"])
def test_sparks_are_found_and_told_apart(recorder: str) -> None:
    reading = understand(blind("resistor", recorder), STORE)
    score = scored(truth("resistor"), reading.sparks)
    assert abs(score.count_error) <= 2 * COUNT_BUDGET
    assert score.right(NORMAL) > 0.95
    assert score.right(PARTIAL) > 0.95
    assert score.right(SHORT) > 0.98
    assert reading.calibration.measured_from == "voltage"


def test_charge_is_what_the_store_gave() -> None:
    reading = understand(blind("resistor"), STORE)
    # While a gap stays shorted the store's voltage does not show; all others do.
    events, found = truth("resistor").events, reading.sparks
    true = events["charge"][events["code"] != SHORT].sum()
    assert found.charge_c[found.class_code != SHORT].sum() == pytest.approx(true, rel=0.02)
    assert reading.statistics.energy.total_j > truth("resistor").energy  # the leads' share is in it
    assert any("the leads' share" in note for note in reading.notes)


def test_without_the_store_nothing_is_said_of_energy() -> None:
    reading = understand(blind("resistor"))
    assert np.isnan(reading.statistics.energy.total_j)
    assert any("give the store's capacitance" in note for note in reading.notes)


def test_small_steps_change_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    whole = understand(blind("pump"), STORE).sparks
    monkeypatch.setattr(voltage_only, "STEP", 1009)
    monkeypatch.setattr(voltage_only, "ROOM", 7)
    parts = understand(blind("pump"), STORE).sparks
    assert np.array_equal(whole.first, parts.first)
    assert np.array_equal(whole.energy_j, parts.energy_j)


def test_pulses_need_a_current() -> None:
    with pytest.raises(InputRefused, match="must hold a current"):
        understand(blind("pulses"), ReadingSettings(generator="pulse"))
