"""Every law of the gap refuses what it cannot answer, and says what and why."""

import math

import pytest

from gapwright.base.errors import InputRefused, OutOfRange
from gapwright.gap import (
    breakdown,
    breaking,
    bridge,
    burning,
    charging,
    classes,
    contact,
    debris,
    delay,
    dissolution,
    flushing,
    ignition,
    leakage,
    spot,
    standing,
    waiting,
)

HAZARD = {"area": 1e-6, "dead_voltage": 35.0, "hazard": delay.Hazard()}
CLEARING = {"duration": 1.0, "added": 0.0, "gap_volume": 1e-12, "clearing": 1.0}
BREAK = {"inductance": 0.0, "voltage": 48.0, "arc_voltage": 13.0}
STANDS = {
    "mean_voltage": 25.0,
    "burning_voltage": 25.0,
    "charger_current": 0.1,
    "short_circuit_current": 0.4,
    "settling": 1e-3,
}

CASES = [
    (breakdown.paschen_voltage, (0.0,), {}, "gap must be above 0 m"),
    (breakdown.paschen_voltage, (1e-5,), {"pressure": -1.0}, "pressure"),
    (breakdown.strike_gap, (48.0,), {"field": 0.0}, "field"),
    (breakdown.air_breakdown_voltage, (1e-6,), {"field": 1e8, "plateau": math.nan}, "plateau"),
    (delay.ignition_rate, (-1.0, 1e-5), HAZARD, "voltage"),
    (delay.ignition_rate, (70.0, 0.0), HAZARD, "gap"),
    (delay.memory_gain, (-1.0,), {"distance": 0.0, "hazard": delay.Hazard()}, "since"),
    (delay.smallest_gap, (-1e-6,), {}, "resolution"),
    (waiting.waiting_share, (-1.0,), {"mean_delay": 1.0}, "elapsed"),
    (waiting.mean_fired_delay, (1.0,), {"mean_delay": 0.0}, "mean_delay"),
    (waiting.censored_mean_delay, ([],), {"open_pulses": 3, "on_time": 1.0}, "at least one pulse"),
    (waiting.censored_mean_delay, ([1.0],), {"open_pulses": -1, "on_time": 1.0}, "open_pulses"),
    (waiting.censored_mean_delay, ([-1.0],), {"open_pulses": 1, "on_time": 1.0}, "delays"),
    (charging.charging_statistics, (0.0,), {}, "similarity"),
    (charging.charging_statistics, (1.0,), {"dead_share": 1.0}, "never fire"),
    (charging.charging_statistics, (1.0,), {"start_share": -0.1}, "start_share"),
    (leakage.conductance, (1e-6, 0.0), {"conductivity": 1.0}, "gap"),
    (leakage.false_touch_resistance, (1e-6, 1e-5), {"conductivity": 0.0}, "conductivity"),
    (leakage.leaked_open_voltage, (100.0,), {"resistance": -1.0, "leakage": 0.0}, "resistance"),
    (leakage.leaked_time_constant, (0.0,), {"resistance": 1.0, "leakage": 0.0}, "time_constant"),
    (
        dissolution.dissolved_volume,
        (1.0,),
        {"molar_mass": 0.05, "density": 7870.0, "electrons": 0},
        "electrons must be between 1 and 8",
    ),
    (dissolution.gas_volume, (1.0,), {"electrons": 3, "temperature": 293.0, "pressure": 1e5}, "hydrogen"),
    (flushing.bore_flow, (0.0,), {"bore": 1e-4, "length": 0.1, "viscosity": 1e-3}, "pressure"),
    (
        flushing.reynolds_number,
        (1e-8,),
        {"bore": 1e-4, "viscosity": 0.0, "density": 1e3},
        "viscosity",
    ),
    (spot.contact_voltage, (200.0,), {}, "at least the ambient"),
    (spot.spot_resistance, (0.0,), {"resistivity": 1e-8}, "radius"),
    (spot.melting_current, (1e-6,), {"resistivity": 1e-8, "melting_point": 200.0}, "above the ambient"),
    (bridge.neck_radius, (-1e-6,), {"asperity_radius": 1e-5}, "overlap"),
    (bridge.discharge_action, (60.0,), {"capacitance": 1e-5, "loop_resistance": 0.0}, "loop_resistance"),
    (bridge.largest_blown_radius, (0.1,), {"metal": 0.0}, "metal"),
    (contact.can_arc, (-1.0,), {"least_arc_voltage": 13.0}, "voltage"),
    (
        contact.largest_inductance,
        (13.0,),
        {"arc_voltage": 13.0, "least_arc_current": 0.4},
        "whatever the loop",
    ),
    (standing.standing_resistance, (0.0,), {"least_arc_current": 0.4}, "voltage"),
    (standing.standing_arc, (-1.0,), {"least_arc_current": 0.4}, "short_circuit_current"),
    (standing.standing_arc_length, (48.0,), {"arc_voltage": 0.0}, "arc_voltage"),
    (breaking.break_energy, (-1.0,), BREAK, "current"),
    (breaking.safe_voltage_rise, (-1.0,), {"field": 1e8}, "retract_speed"),
    (burning.burning_voltage, (burning.Medium.AIR,), {"least_arc_voltage": 0.0}, "least_arc_voltage"),
    (burning.discharge_energy, (0.0,), {"start": 1.0}, "capacitance"),
    (burning.is_extinguished, (1.0,), {"hold_current": 0.0}, "hold_current"),
    (burning.deionisation_time, (-1.0,), {}, "duration"),
    (burning.ionised_share, (-1.0,), {"deionisation": 1.0}, "since"),
    (debris.debris_share, (1.5,), CLEARING, "share must be between 0 and 1"),
    (debris.flushing_time, (-1.0,), {"kind": debris.FlushingKind.NONE, "diameter": 1e-3}, "depth"),
    (debris.bridging_probability, (0.1,), {"gap": 0.0}, "gap"),
    (debris.bridge_retraction, (-1e-6,), {}, "gap"),
    (
        classes.normalised_breakdown,
        (30.0,),
        {"open_voltage": 38.0, "burning_voltage": 25.0},
        "1.6 times the burning voltage",
    ),
    (classes.capacitor_class, (0.1,), {"arcs_of_last_eight": 9}, "arcs_of_last_eight"),
    (classes.contact_class, (), {"end_voltage": 1.0, "recovery": -1.0, "time_constant": 1.0}, "recovery"),
    (classes.is_standing, (-1.0,), STANDS, "duration"),
    (ignition.liquid_ignition, (0.0,), {"burning_voltage": 25.0, "gap": 1e-5}, "open_voltage"),
]


@pytest.mark.parametrize(
    ("law", "place", "named", "message"), CASES, ids=lambda value: getattr(value, "__name__", "")
)
def test_refusal(law, place, named, message):
    with pytest.raises(InputRefused, match=message):
        law(*place, **named)


def test_turbulent_flow_is_out_of_range():
    with pytest.raises(OutOfRange, match="Reynolds number of 2300"):
        flushing.bore_flow(7e6, bore=0.5e-3, length=0.1, viscosity=1e-3)


def test_constants_of_paschens_law_must_be_positive():
    with pytest.raises(InputRefused, match="secondary_yield"):
        breakdown.PaschenConstants(ionisation=11.25, strength=273.75, secondary_yield=0.0, lowest=0.76)


def test_charging_from_above_the_dead_voltage_starts_at_once():
    late = charging.charging_statistics(1e5, dead_share=0.5, start_share=0.3)
    soon = charging.charging_statistics(1e5, dead_share=0.3, start_share=0.5)
    assert late.breakdown == pytest.approx(0.5, rel=1e-3)
    assert soon.period < 0.01 < late.period
