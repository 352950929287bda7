"""Governors beside the built-in controls that do the same, and beside what can be counted by hand."""

from dataclasses import replace

import numpy as np
import pytest

from gapwright.base.errors import GapwrightError, InputRefused
from gapwright.circuit.control.control import NoControl, PeakCurrent
from gapwright.circuit.control.governor import (
    Above,
    After,
    Below,
    Governed,
    Governor,
    OnClock,
    Phase,
    Sensor,
    WhenGap,
    WhenIn,
)
from gapwright.circuit.control.ignition import Threshold
from gapwright.circuit.engine import _governor_kernel as gk
from gapwright.circuit.engine import engine
from gapwright.circuit.engine.engine import Start, run
from gapwright.circuit.network.mna import GapState
from tests.pulsed_by_governors import pulsed, pulses
from tests.two_generators import CLOCK, STRIKES, relaxation, step_up

SAME = 1e-9
COIL = Sensor(quantity="amperes", name="coil")
STORE = Sensor(quantity="volts", name="store")


def clocked() -> Governed:
    """The clock of the built-in control: on for 12 µs from the start of each 25 µs."""
    on = Phase(name="on", closes=("switch",), rules=(After(seconds=12e-6, then="off"),))
    off = Phase(name="off", rules=(OnClock(period=25e-6, then="on"),))
    return Governed(governors=(Governor(name="clock", phases=(on, off)),))


def limited(control: PeakCurrent) -> Governed:
    """The built-in current limit as a governor; its store never fills in these runs."""
    on = Phase(
        name="on",
        closes=("switch",),
        rules=(Above(sensor=COIL, level=control.limit, then="off"),),
    )
    off = Phase(name="off", rules=(After(seconds=control.minimum_off_time, then="look"),))
    look = Phase(
        name="look",
        rules=(
            Above(sensor=COIL, level=control.limit, then="wait"),
            Below(sensor=COIL, level=control.limit, then="on"),
        ),
    )
    wait = Phase(name="wait", rules=(Below(sensor=COIL, level=control.limit, then="off"),))
    return Governed(governors=(Governor(name="limit", phases=(on, off, look, wait)),))


def test_a_clock_of_rules_does_what_the_built_in_clock_does() -> None:
    circuit = step_up()
    own = run(circuit, clocked(), 20e-3, ignition=STRIKES)
    built_in = run(circuit, CLOCK, 20e-3, ignition=STRIKES)
    assert own.joules("in") == pytest.approx(built_in.joules("in"), rel=SAME)
    assert own.sparks["time_s"] == pytest.approx(built_in.sparks["time_s"], rel=SAME)
    assert own.meters["coil"].highest_current == pytest.approx(
        built_in.meters["coil"].highest_current, rel=SAME
    )
    assert own.phase_share["clock/on"] == pytest.approx(0.48, rel=1e-3)


def test_a_current_limit_of_rules_does_what_the_built_in_one_does() -> None:
    circuit = step_up()
    control = PeakCurrent(switch="switch", limit=3.0, minimum_off_time=4e-6, voltage_limit=1e3)
    own = run(circuit, limited(control), 25e-3, ignition=STRIKES)
    built_in = run(circuit, control, 25e-3, ignition=STRIKES)
    assert len(own.sparks) == len(built_in.sparks) >= 2
    assert own.joules("in") == pytest.approx(built_in.joules("in"), rel=SAME)
    assert own.sparks["time_s"] == pytest.approx(built_in.sparks["time_s"], rel=SAME)


def test_every_pulse_burns_equally_long_however_late_it_strikes() -> None:
    ran = run(pulsed(), pulses(), 5e-3, ignition=Threshold(volts=70.0))
    assert len(ran.sparks) == 50
    assert ran.sparks["duration_s"] == pytest.approx(np.full(50, 50e-6), rel=1e-2)
    assert ran.sparks["peak_a"] == pytest.approx(np.full(50, 55.0 / 6.9), rel=1e-6)
    assert ran.phase_share["pulse/burning"] == pytest.approx(0.5, rel=1e-3)


def test_a_set_charge_ends_a_pulse() -> None:
    passed = Sensor(quantity="charge", name="passed")
    control = pulses(burning=(Above(sensor=passed, level=100e-6, then="pause"),))
    ran = run(pulsed(), control, 2e-3, ignition=Threshold(volts=70.0))
    assert len(ran.sparks) >= 20
    assert ran.sparks["charge_c"] == pytest.approx(np.full(len(ran.sparks), 100e-6), rel=5e-3)


def test_trains_of_pulses_with_rests() -> None:
    train = Governor(
        name="train",
        phases=(
            Phase(name="run", rules=(After(seconds=1e-3, then="rest"),)),
            Phase(name="rest", rules=(After(seconds=1e-3, then="run"),)),
        ),
    )
    ready = Phase(name="pause", rules=(After(seconds=50e-6, then="ready"),))
    gate = Phase(name="ready", rules=(WhenIn(governor="train", phase="run", then="waiting"),))
    pulse = pulses().governors[0]
    pulse = replace(pulse, phases=(*pulse.phases[:2], ready, gate))
    ran = run(pulsed(), Governed(governors=(pulse, train)), 3.9e-3, ignition=Threshold(volts=70.0))
    in_rest = np.mod(ran.sparks["time_s"], 2e-3) > 1.05e-3
    assert len(ran.sparks) == 20
    assert not in_rest.any()


def test_a_short_is_seen_after_a_delay_and_tried_again() -> None:
    volts = Sensor(quantity="volts", name="gap")
    watch = Governor(
        name="shorts",
        phases=(
            Phase(name="watch", rules=(Below(sensor=volts, level=10.0, then="doubt"),)),
            Phase(
                name="doubt",
                rules=(
                    After(seconds=20e-6, then="shut"),
                    Above(sensor=volts, level=10.0, then="watch"),
                ),
            ),
            Phase(name="shut", rules=(After(seconds=200e-6, then="try"),)),
            Phase(
                name="try",
                closes=("switch",),
                rules=(
                    After(seconds=20e-6, then="shut"),
                    Above(sensor=volts, level=10.0, then="watch"),
                ),
            ),
        ),
    )
    watch = replace(watch, phases=(replace(watch.phases[0], closes=("switch",)), *watch.phases[1:]))
    script = Governor(
        name="scene",
        phases=(
            Phase(name="open", rules=(After(seconds=0.5e-3, then="short"),)),
            Phase(name="short", gap=GapState.SHORT, rules=(After(seconds=1.1e-3, then="clear"),)),
            Phase(name="clear", gap=GapState.OPEN),
        ),
    )
    ran = run(pulsed(), Governed(governors=(watch,)), 3e-3, script=(script,))
    # Five tries of 20 µs within the 1.1 ms, and the doubt; then open again.
    assert ran.phase_share["shorts/shut"] == pytest.approx(5 * 200e-6 / 3e-3, rel=0.03)
    assert ran.meters["gap"].highest_current == pytest.approx(80.0 / 6.87, rel=1e-3)
    assert ran.phase_share["shorts/watch"] == pytest.approx((3e-3 - 1.1e-3) / 3e-3, rel=0.06)


def test_a_phase_waits_for_the_gap() -> None:
    blank = Governor(
        name="blank",
        phases=(
            Phase(name="free", rules=(WhenGap(state=GapState.ARC, then="spark"),)),
            Phase(name="spark", rules=(WhenGap(state=GapState.OPEN, then="held"),)),
            Phase(name="held", rules=(After(seconds=30e-6, then="free"),)),
        ),
    )
    ran = run(relaxation(), NoControl(), 20e-3, ignition=STRIKES, script=(blank,))
    assert ran.phase_share["blank/spark"] == pytest.approx(ran.sparks["duration_s"].sum() / 20e-3, rel=1e-6)
    assert ran.phase_share["blank/held"] == pytest.approx(len(ran.sparks) * 30e-6 / 20e-3, rel=0.02)


def test_a_governor_may_start_in_another_phase() -> None:
    ran = run(pulsed(), pulses(), 49e-6, initial=Start(phases={"pulse": "pause"}))
    assert ran.phase_share["pulse/pause"] == 1.0


def test_time_in_modes_adds_up_to_the_run() -> None:
    ran = run(step_up(), clocked(), 5e-3, ignition=STRIKES)
    assert sum(mode.share for mode in ran.modes) == pytest.approx(1.0, rel=1e-9)
    assert all(mode.modal and mode.residual < 1e-10 for mode in ran.modes)
    assert ran.modes[0].seconds >= ran.modes[-1].seconds


@pytest.mark.parametrize(
    ("kind", "level", "offset", "entered", "due"),
    [
        (gk.AFTER, 2e-6, 0.0, 5e-6, 7e-6),
        (gk.ON_CLOCK, 25e-6, 0.0, 60e-6, 75e-6),
        (gk.ON_CLOCK, 25e-6, 0.0, 75e-6, 100e-6),
        (gk.ON_CLOCK, 10e-6, 3e-6, 0.0, 3e-6),
        (gk.SENSE, 1.0, 0.0, 0.0, 1e300),
    ],
)
def test_when_a_rule_by_the_clock_acts(
    kind: int, level: float, offset: float, entered: float, due: float
) -> None:
    assert gk.rule_time(kind, level, offset, entered) == pytest.approx(due, rel=1e-12)


def test_two_phases_that_chase_each_other_are_an_error() -> None:
    mad = Governor(
        name="mad",
        phases=(
            Phase(name="a", rules=(WhenGap(state=GapState.OPEN, then="b"),)),
            Phase(name="b", rules=(WhenGap(state=GapState.OPEN, then="a"),)),
        ),
    )
    with pytest.raises(GapwrightError, match="the gap or the control flips without end"):
        run(pulsed(), Governed(governors=(mad,)), 1e-3)


def test_a_run_of_too_many_steps_is_refused_when_that_is_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(engine, "MOST_STEPS", 1e6)
    with pytest.raises(
        InputRefused, match=r"at most 1e\+06 steps, got one that would take .*; run a shorter"
    ):
        run(step_up(), clocked(), 100.0, ignition=STRIKES)
