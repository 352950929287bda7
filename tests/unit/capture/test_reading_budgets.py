"""Readings of captures with known answers stay within the budgets at 1 % noise."""

import numpy as np
import pytest

from gapwright.capture.reading import understand
from gapwright.capture.score import scored
from tests.made_captures import captured, truth


@pytest.mark.parametrize("recorder", ["float", "twelve bits", "eight bits"])
@pytest.mark.parametrize("name", ["resistor", "pump", "pulses"])
def test_budgets_are_met(name: str, recorder: str) -> None:
    reading = understand(captured(name, recorder))
    score = scored(truth(name), reading.sparks)
    assert not score.breaches(), "\n".join(score.breaches())


@pytest.mark.parametrize("name", ["resistor", "pulses"])
def test_levels_are_found(name: str) -> None:
    calibration = understand(captured(name)).calibration
    top, burning = {"resistor": (80.0, 22.0), "pulses": (100.0, 24.0)}[name]
    assert calibration.open_voltage.value == pytest.approx(top, rel=0.01)
    assert calibration.burning_voltage.value == pytest.approx(burning, rel=0.01)
    assert calibration.generator == ("pulse" if name == "pulses" else "capacitor")


def test_columns_are_ready_for_a_table() -> None:
    columns = understand(captured("resistor")).sparks.columns()
    assert len({column.size for column in columns.values()}) == 1
    assert set(columns["class"]) <= {
        "open", "normal", "partial", "transient arc", "stationary arc", "short", "contact"
    }  # fmt: skip
    assert np.all((columns["confidence"] >= 0.5) & (columns["confidence"] <= 1.0))
    assert all(columns["reason"] != "")
