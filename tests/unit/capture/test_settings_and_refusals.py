"""What is given is used, what cannot be told is refused, and dry rigs have contacts."""

from dataclasses import replace

import numpy as np
import pytest

from gapwright.base.errors import InputRefused
from gapwright.capture.classify import CONTACT, NORMAL, SHORT
from gapwright.capture.reading import understand
from gapwright.capture.recorder import Recorder, recorded
from gapwright.capture.score import COUNT_BUDGET, RIGHT_BUDGET, scored
from gapwright.capture.settings import GeneratorForm, ReadingSettings
from gapwright.capture.truth_relaxation import CapacitorCourse, capacitor_truth
from gapwright.capture.waveform import Capture, Segments
from tests.made_captures import captured, drawn


def test_given_levels_are_used_and_said_to_be_given() -> None:
    given = ReadingSettings(
        open_voltage=81.0, burning_voltage=21.0, voltage_noise=0.9, current_noise=0.3, time_constant=41e-6
    )
    calibration = understand(captured("resistor", count=200), given).calibration
    levels = {
        name: getattr(calibration, name) for name in ("open_voltage", "burning_voltage", "voltage_noise")
    }
    assert {name: level.value for name, level in levels.items()} == {
        "open_voltage": 81.0, "burning_voltage": 21.0, "voltage_noise": 0.9
    }  # fmt: skip
    assert {level.from_ for level in levels.values()} == {"given"}
    assert calibration.time_constant is not None
    assert calibration.time_constant.value == 41e-6


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"open_voltage": -1.0}, "open_voltage must be above 0 V"),
        ({"open_voltage": 20.0, "burning_voltage": 22.0}, "open_voltage must be above burning_voltage"),
        ({"threads": 0}, "threads must be between 1 and 64"),
        ({"generator": "magic"}, 'generator must be "capacitor" or "pulse"'),
    ],
)
def test_wrong_settings_are_refused(wrong: dict, says: str) -> None:
    with pytest.raises(InputRefused, match=says):
        ReadingSettings(**wrong)


def test_levels_that_noise_hides_are_refused() -> None:
    capture = captured("resistor", count=200)
    with pytest.raises(InputRefused, match="at least 6 times the noise"):
        understand(capture, ReadingSettings(open_voltage=24.0, burning_voltage=22.0))


def test_a_capture_of_nothing_asks_for_the_burning_voltage() -> None:
    noise = drawn(3).standard_normal(100_000).astype(np.float32)
    capture = Capture(
        voltage=60 + noise, voltage_scale=1.0, current=noise / 10, rate=1e6, current_from="given"
    )
    with pytest.raises(InputRefused, match="burning_voltage must show in the capture or be given"):
        understand(capture)


def test_discharges_shorter_than_the_sampling_allows_are_refused() -> None:
    capture = captured("resistor", count=400)
    assert capture.current is not None
    volts, amperes = capture.voltage[::25], capture.current[::25]
    whole = Segments.whole(volts.size)
    coarse = replace(capture, voltage=volts, current=amperes, rate=capture.rate / 25, segments=whole)
    with pytest.raises(InputRefused, match="at least 5 samples"):
        understand(coarse)


def test_a_capture_without_noise_is_read() -> None:
    course = CapacitorCourse(ripple=0.0)
    made = capacitor_truth(course, count=200, rate=10e6, rng=drawn(4))
    reading = understand(recorded(made, Recorder(noise=0.0), rng=drawn(5)))
    assert scored(made, reading.sparks).extra == 0
    assert reading.statistics.energy.total_j == pytest.approx(made.energy, rel=0.005)


def test_a_dry_rig_has_contacts() -> None:
    course = CapacitorCourse(
        open_voltage=48.0,
        burning_voltage=13.0,
        contact_voltage=0.5,
        shares={"spark": 0.5, "contact": 0.4, "short": 0.05, "open": 0.05},
    )
    made = capacitor_truth(course, count=1000, rate=10e6, rng=drawn(6))
    reading = understand(recorded(made, Recorder(), rng=drawn(7)), ReadingSettings(dry=True))
    score = scored(made, reading.sparks)
    assert abs(score.count_error) <= COUNT_BUDGET
    assert score.right(CONTACT) > 0.95
    assert score.right(SHORT) >= RIGHT_BUDGET[SHORT]
    assert score.right(NORMAL) >= RIGHT_BUDGET[NORMAL]


def test_drift_and_hum_of_the_current_are_followed() -> None:
    made = capacitor_truth(CapacitorCourse(), count=800, rate=10e6, rng=drawn(8))
    plain = recorded(made, Recorder(), rng=drawn(9))
    crooked = recorded(made, Recorder(drift=0.01, hum=0.01), rng=drawn(9))
    reading = understand(replace(crooked, voltage=plain.voltage))
    assert reading.statistics.energy.total_j == pytest.approx(made.energy, rel=0.01)


@pytest.mark.parametrize(("name", "said"), [("resistor", "pulse"), ("pulses", "capacitor")])
def test_a_generator_that_is_said_wrongly_is_told(name: str, said: GeneratorForm) -> None:
    told = understand(captured(name), ReadingSettings(generator=said)).notes
    assert any("check the rig or --generator" in note for note in told)
    assert not any("--generator" in note for note in understand(captured(name)).notes)
