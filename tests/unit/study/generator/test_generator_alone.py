from pathlib import Path

import pytest

from gapwright.circuit.control.ignition import Threshold
from gapwright.circuit.engine.engine import run
from gapwright.circuit.stages.generators import GAP
from gapwright.rig.reading import rig_from_text
from gapwright.study.generator.generator_alone import GeneratorAlone, generator_alone, generator_bench
from gapwright.study.generator.network import network, switched_on
from gapwright.wiring import demo_text

EXAMPLES = Path(__file__).resolve().parents[4] / "examples"


@pytest.fixture(scope="module", params=["first-build", "second-build"])
def alone(request: pytest.FixtureRequest) -> GeneratorAlone:
    return generator_alone(rig_from_text(demo_text(f"{request.param}.rig.toml"), request.param))


def test_the_action_of_a_spark_is_what_the_gap_s_meter_sums(alone: GeneratorAlone) -> None:
    pulse = alone.pulse
    gap = next(meter for meter in alone.meters if meter.part == GAP)
    assert pulse is not None
    assert pulse.action_a2s * pulse.rate_hz == pytest.approx(gap.rms_current_a**2, rel=0.03)


def test_the_action_lies_between_that_of_a_rectangle_and_of_a_triangle(alone: GeneratorAlone) -> None:
    pulse = alone.pulse
    assert pulse is not None
    rectangle = pulse.peak_current_a**2 * pulse.duration_s
    assert rectangle / 3.0 < pulse.action_a2s < rectangle


@pytest.mark.parametrize("seconds", [0.02, 0.4])
def test_a_long_run_closes_as_well_as_a_short_one(seconds: float) -> None:
    netlist, control = network(generator_bench(rig_from_text(demo_text("second-build.rig.toml"), "rig")))
    start = switched_on(netlist)
    ran = run(netlist, control, seconds, ignition=Threshold(volts=60.0), initial=start)
    assert abs(ran.balance_error) < 5e-10


def test_what_flickers_between_pulses_is_no_spark() -> None:
    text = (EXAMPLES / "current-source.rig.toml").read_text(encoding="utf-8")
    alone = generator_alone(rig_from_text(text, "rig"))
    pulse = alone.pulse
    assert pulse is not None
    assert pulse.rate_hz < 20e3
    assert pulse.peak_current_a > 1.0
    assert pulse.duration_s > 10e-6
