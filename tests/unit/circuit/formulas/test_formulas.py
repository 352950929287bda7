"""Formulas of discharges and chargers: plain twins, borders between regimes, limits."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from gapwright.base.errors import OutOfRange
from gapwright.circuit.formulas.charging import charging_time, drawn_energy, stored_energy, stored_share
from gapwright.circuit.formulas.discharge import (
    SeriesLoop,
    damping_ratio,
    half_period,
    peak_current,
    peak_time,
)
from gapwright.circuit.formulas.fusing import fast_fusing_current, slow_fusing_current, slow_fusing_diameter
from gapwright.circuit.formulas.sensing import converter_code, converter_step, divided_voltage
from gapwright.circuit.formulas.spent import discharge_charge, discharge_current, left_voltage, loop_action
from gapwright.circuit.formulas.step_up import (
    CoilDrive,
    border_voltage,
    delivered_energy,
    step_up_charging_time,
)
from gapwright.circuit.formulas.timer import compare_value, on_counts, timer_frequency

RESISTANCES = [0.0, 0.1, 0.6, 0.6324, 0.6325, 2.0, 20.0]
"""From no damping to a damping ratio of 32, close to the border on both sides."""
LOOPS = st.builds(
    SeriesLoop,
    resistance=st.floats(1e-3, 1e3),
    inductance=st.floats(1e-8, 1e-4),
    capacitance=st.floats(1e-10, 1e-2),
)


def loop_of(resistance: float) -> SeriesLoop:
    """1 µH and 10 µF: the border of ringing is at 0.632456 Ω."""
    return SeriesLoop(resistance=resistance, inductance=1e-6, capacitance=10e-6)


def stepped(loop: SeriesLoop, driving: float, until: float):
    """The same discharge by stepping Kirchhoff's rules: current, charge passed, action."""

    def slope(_, state):
        current, passed, _ = state
        across = driving - passed / loop.capacitance - loop.resistance * current
        return [across / loop.inductance, current, current**2]

    return solve_ivp(
        slope, (0.0, until), [0.0, 0.0, 0.0], method="DOP853", rtol=1e-11, atol=1e-14, dense_output=True
    )


@pytest.mark.parametrize("resistance", RESISTANCES)
def test_current_follows_the_stepped_circuit(resistance):
    loop = loop_of(resistance)
    until = 10.0 * peak_time(loop)
    if loop.ringing > 0.0:
        until = min(until, 0.99 * half_period(loop))
    twin = stepped(loop, 40.0, until)
    for share in (0.05, 0.3, 0.6, 1.0):
        found = discharge_current(share * until, voltage=60.0, arc_voltage=20.0, loop=loop)
        assert found == pytest.approx(twin.sol(share * until)[0], rel=1e-7)


@pytest.mark.parametrize("resistance", RESISTANCES)
def test_peak_is_the_top_of_the_current(resistance):
    loop = loop_of(resistance)
    top, t = peak_current(60.0, arc_voltage=20.0, loop=loop), peak_time(loop)

    def current(at: float) -> float:
        return discharge_current(at, voltage=60.0, arc_voltage=20.0, loop=loop)

    assert current(t) == pytest.approx(top, rel=1e-9)
    assert current(0.99 * t) < top
    assert current(1.01 * t) < top


@pytest.mark.parametrize("resistance", [0.0, 1e-3, 0.1, 0.6])
def test_what_a_ringing_discharge_leaves_and_passes(resistance):
    loop = loop_of(resistance)
    twin = stepped(loop, 40.0, half_period(loop))
    _, passed, action = twin.y[:, -1]
    assert discharge_charge(60.0, arc_voltage=20.0, loop=loop) == pytest.approx(passed, rel=1e-8)
    assert loop_action(60.0, arc_voltage=20.0, loop=loop) == pytest.approx(action, rel=1e-8)
    left = 60.0 - passed / loop.capacitance
    assert left_voltage(60.0, arc_voltage=20.0, loop=loop) == pytest.approx(left, rel=1e-7)


def test_a_creeping_discharge_stops_at_the_arc_voltage():
    loop = loop_of(2.0)
    assert left_voltage(60.0, arc_voltage=20.0, loop=loop) == 20.0
    assert discharge_charge(60.0, arc_voltage=20.0, loop=loop) == pytest.approx(400e-6, rel=1e-12)
    assert loop_action(60.0, arc_voltage=20.0, loop=loop) == pytest.approx(4e-3, rel=1e-12)


def test_nothing_flows_after_the_first_zero():
    loop = loop_of(0.1)
    assert discharge_current(1.01 * half_period(loop), voltage=60.0, loop=loop) == 0.0


def test_exactly_at_the_border():
    # 2 Ω, 1 H and 1 F: every quantity is a whole number.
    loop = SeriesLoop(resistance=2.0, inductance=1.0, capacitance=1.0)
    assert damping_ratio(loop) == 1.0
    assert peak_time(loop) == 1.0
    assert peak_current(1.0, loop=loop) == pytest.approx(math.exp(-1.0), rel=1e-15)
    assert discharge_current(2.0, voltage=1.0, loop=loop) == pytest.approx(2.0 * math.exp(-2.0), rel=1e-15)
    with pytest.raises(OutOfRange, match="damping ratio below 1, got 1"):
        half_period(loop)


@given(LOOPS)
def test_voltage_over_resistance_overstates_the_peak(loop):
    peak = peak_current(60.0, arc_voltage=20.0, loop=loop)
    assert 0.0 < peak < 40.0 / loop.resistance
    assert peak < 40.0 * math.sqrt(loop.capacitance / loop.inductance)


@given(LOOPS)
def test_energy_of_a_discharge_closes(loop):
    before = stored_energy(60.0, capacitance=loop.capacitance)
    after = stored_energy(left_voltage(60.0, arc_voltage=20.0, loop=loop), capacitance=loop.capacitance)
    arc = 20.0 * discharge_charge(60.0, arc_voltage=20.0, loop=loop)
    heat = loop.resistance * loop_action(60.0, arc_voltage=20.0, loop=loop)
    assert after + arc + heat == pytest.approx(before, rel=1e-9)


@given(st.floats(1.0, 200.0), st.floats(-0.9, 0.9), st.floats(0.01, 0.99))
def test_kept_over_drawn_is_the_share(supply, first, way):
    start = first * supply
    stop = start + way * (0.95 * supply - start)
    kept = stored_energy(stop, start=start, capacitance=1e-6)
    drawn = drawn_energy(stop, start=start, supply=supply, capacitance=1e-6)
    share = stored_share(stop, start=start, supply=supply)
    assert share * drawn - kept < 1e-9 * drawn
    assert kept - share * drawn < 1e-9 * drawn


def test_charging_in_two_pieces_takes_as_long_as_in_one():
    rest = {"supply": 80.0, "resistance": 220.0, "capacitance": 1e-6}
    pieces = charging_time(30.0, **rest) + charging_time(60.0, start=30.0, **rest)
    assert pieces == pytest.approx(charging_time(60.0, **rest), rel=1e-14)


def test_step_up_time_is_the_sum_of_its_periods():
    drive = CoilDrive(supply=12.0, inductance=47e-6, on_time=12e-6, period=25e-6)
    volts, periods = 24.0, 0
    while volts < 60.0:
        volts = math.sqrt(volts**2 + 2.0 * delivered_energy(volts, drive=drive) / 10e-3)
        periods += 1
    time = step_up_charging_time(volts, start=24.0, capacitance=10e-3, drive=drive)
    assert periods * drive.period == pytest.approx(time, rel=1e-3)


def test_a_store_at_the_border_is_answered_and_below_refused():
    drive = CoilDrive(supply=12.0, inductance=47e-6, on_time=12e-6, period=25e-6)
    assert delivered_energy(border_voltage(drive), drive=drive) > 0.0
    with pytest.raises(OutOfRange, match="voltage must be at least the border voltage 23.08 V, got 23 V"):
        delivered_energy(23.0, drive=drive)


@given(st.integers(0, 65535), st.sampled_from([1, 8, 64, 256, 1024]))
def test_timer_there_and_back(value, prescaler):
    found = timer_frequency(value, clock=16e6, prescaler=prescaler)
    assert compare_value(found, clock=16e6, prescaler=prescaler) == value


@given(st.integers(1, 10**6))
def test_on_time_there_and_back(counts):
    assert on_counts(counts / 16e6, clock=16e6) == counts


@given(st.floats(0.0, 70.0))
def test_code_times_step_is_within_a_step_below_the_voltage(voltage):
    parts = {"top": 100e3, "bottom": 6.8e3}
    step = converter_step(reference=5.0, bits=10, **parts)
    code = converter_code(divided_voltage(voltage, **parts), reference=5.0, bits=10)
    assert -1e-9 <= voltage - code * step <= step * (1.0 + 1e-9)


@given(st.floats(1e-4, 1e-2))
def test_slow_fusing_there_and_back(diameter):
    assert slow_fusing_diameter(slow_fusing_current(diameter)) == pytest.approx(diameter, rel=1e-12)


def test_a_hot_wire_melts_sooner():
    cold, hot = (fast_fusing_current(1e-6, duration=1.0, ambient=T) for T in (273.15, 373.15))
    assert hot < cold
