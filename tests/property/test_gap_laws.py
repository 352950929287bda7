"""Scaling, bounds and order of the laws of the gap."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gapwright.gap.breakdown import air_breakdown_voltage, strike_gap
from gapwright.gap.charging import charging_statistics
from gapwright.gap.classes import CLASS_NAMES, capacitor_class
from gapwright.gap.debris import DebrisLaw, bridging_probability, debris_share
from gapwright.gap.delay import Hazard, ignition_rate, memory_gain
from gapwright.gap.leakage import conductance, leaked_open_voltage, leaked_time_constant
from gapwright.gap.spot import contact_voltage
from gapwright.gap.waiting import censored_mean_delay, mean_fired_delay, waiting_share

VOLTS = st.floats(36.0, 200.0)
GAPS = st.floats(7e-6, 60e-6)
AREAS = st.floats(1e-10, 1e-5)
SHARES = st.floats(0.0, 1.0)


@given(VOLTS, GAPS, AREAS)
def test_hazard_grows_with_area_and_with_the_fifth_power_of_the_field(voltage, gap, area):
    def rate(V, g, a):
        hazard = Hazard(intrinsic_field=1e12)
        return ignition_rate(V, g, area=a, dead_voltage=35.0, hazard=hazard)

    once = rate(voltage, gap, area)
    assert rate(voltage, gap, 3.0 * area) == pytest.approx(3.0 * once, rel=1e-12)
    assert rate(2.0 * voltage, gap, area) == pytest.approx(32.0 * once, rel=1e-12)
    assert rate(voltage, 2.0 * gap, area) == pytest.approx(once / 32.0, rel=1e-12)


@given(st.floats(0.0, 35.0), GAPS, AREAS, SHARES)
def test_nothing_ignites_up_to_the_dead_voltage(voltage, gap, area, debris):
    found = ignition_rate(voltage, gap, area=area, dead_voltage=35.0, debris=debris, hazard=Hazard())
    assert found == 0.0


@given(st.floats(0.0, 1e-3), st.floats(0.0, 1e-3))
def test_memory_never_hinders(since, distance):
    assert 1.0 <= memory_gain(since, distance=distance, hazard=Hazard()) <= 51.0


@given(st.floats(1e-6, 1e6), st.floats(3.0, 8.0), st.floats(0.0, 0.95), st.floats(0.0, 0.95))
def test_statistics_of_a_charged_store_keep_their_order(similarity, exponent, dead, start):
    found = charging_statistics(similarity, exponent=exponent, dead_share=dead, start_share=start)
    assert max(dead, start) - 1e-6 <= found.breakdown <= 1.0
    assert start - 1e-6 <= found.mean_voltage <= found.breakdown + 1e-6
    assert found.period > 0.0
    assert -1e-9 <= found.late <= 1.0 - found.partial + 1e-9
    assert found.power <= 0.41 / (1.0 - start)


@given(st.floats(1e-3, 1e3), st.floats(3.0, 8.0))
def test_a_readier_gap_fires_sooner_and_lower(similarity, exponent):
    lazy = charging_statistics(similarity, exponent=exponent)
    ready = charging_statistics(2.0 * similarity, exponent=exponent)
    assert ready.breakdown < lazy.breakdown
    assert ready.period < lazy.period


@given(st.floats(1e-7, 1e-3), st.floats(1e-7, 1e-4))
def test_mean_delay_is_shared_between_fired_and_open_pulses(on_time, mean_delay):
    open_share = waiting_share(on_time, mean_delay=mean_delay)
    fired = mean_fired_delay(on_time, mean_delay=mean_delay)
    whole = (1.0 - open_share) * fired + open_share * on_time
    assert whole == pytest.approx(mean_delay * (1.0 - open_share), rel=1e-6)


@given(st.lists(st.floats(1e-9, 1e-3), min_size=1, max_size=50), st.integers(0, 50))
def test_open_pulses_only_lengthen_the_estimate(delays, open_pulses):
    without = censored_mean_delay(delays, open_pulses=0, on_time=1e-3)
    assert censored_mean_delay(delays, open_pulses=open_pulses, on_time=1e-3) >= without


@given(st.floats(1e-7, 1e-3), st.floats(50e6, 1e9))
def test_air_never_holds_more_than_field_emission_allows(gap, field):
    found = air_breakdown_voltage(gap, field=field)
    assert 0.0 < found <= field * gap * (1.0 + 1e-12)
    if found == field * gap:
        assert strike_gap(found, field=field) == pytest.approx(gap, rel=1e-12)


@given(st.floats(1.0, 300.0), st.floats(1.0, 1e5), AREAS, GAPS, st.floats(1e-5, 1.0))
def test_a_leak_lowers_voltage_and_time_alike(supply, resistance, area, gap, conductivity):
    G = conductance(area, gap, conductivity=conductivity)
    V = leaked_open_voltage(supply, resistance=resistance, leakage=G)
    tau = leaked_time_constant(1.0, resistance=resistance, leakage=G)
    assert 0.0 < V <= supply
    assert V / supply == pytest.approx(tau, rel=1e-12)
    # What flows through the resistor flows through the leak.
    assert (supply - V) / resistance == pytest.approx(V * G, rel=1e-6, abs=0.0) or supply * 1e-9 > supply - V


@given(SHARES, st.floats(1e-6, 1.0), st.floats(0.0, 1e-11), st.floats(1e-13, 1e-10), st.floats(1e-3, 5.0))
def test_debris_stays_within_its_cap(share, duration, added, gap_volume, clearing):
    found = debris_share(share, duration=duration, added=added, gap_volume=gap_volume, clearing=clearing)
    assert 0.0 <= found <= 0.3


@given(SHARES, st.floats(1e-9, 1e-3), st.floats(0.0, 10.0))
def test_a_chance_of_bridging_is_a_chance(debris, gap, stickiness):
    law = DebrisLaw(stickiness=stickiness)
    assert 0.0 <= bridging_probability(debris, gap=gap, law=law) <= 1.0


@given(st.floats(-1.0, 2.0), st.floats(-1.0, 2.0), st.integers(0, 8))
def test_a_higher_breakdown_is_never_a_worse_class(one, other, arcs):
    low, high = sorted((one, other))
    rank = CLASS_NAMES.index
    worse = rank(capacitor_class(low, arcs_of_last_eight=arcs))
    assert worse >= rank(capacitor_class(high, arcs_of_last_eight=arcs))


@given(st.floats(293.0, 4000.0), st.floats(293.0, 4000.0))
def test_contact_voltage_grows_with_temperature(one, other):
    low, high = sorted((one, other))
    assert contact_voltage(low) <= contact_voltage(high)
