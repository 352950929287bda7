"""Every formula of the circuit refuses what it cannot answer, and says what and why."""

import math

import pytest

from gapwright.base.errors import InputRefused, OutOfRange
from gapwright.circuit.formulas import (
    arc_feed,
    charging,
    conversion,
    discharge,
    flyback,
    fusing,
    real_parts,
    sensing,
    spent,
    step_up,
    timer,
    wire,
)

RC = {"supply": 80.0, "resistance": 220.0, "capacitance": 1e-6}
LOOP = discharge.SeriesLoop(resistance=0.05, inductance=200e-9, capacitance=1e-6)
DRIVE = step_up.CoilDrive(supply=12.0, inductance=47e-6, on_time=12e-6, period=25e-6)
COILS = {"supply": 12.0, "peak": 7.5, "turns_ratio": 10.0, "capacitance": 1e-4}
DIVIDER = {"top": 100e3, "bottom": 6.8e3}

REFUSED = [
    (charging.charging_time, (80.0,), RC, "stop must be below the supply of 80 V, got 80 V"),
    (charging.charging_time, (5.0,), RC | {"start": 5.0}, "stop must be above the start of 5 V"),
    (charging.charging_time, (60.0,), RC | {"resistance": 0.0}, "resistance must be above 0 Ω"),
    (charging.charging_time, (60.0,), RC | {"start": math.nan}, "start must be a finite number"),
    (charging.stored_energy, (math.inf,), {"capacitance": 1.0}, "stop must be a finite number"),
    (charging.drawn_energy, (60.0,), {"supply": 80.0, "capacitance": 0.0}, "capacitance"),
    (charging.stored_share, (60.0,), {"supply": -80.0}, "supply must be above 0 V"),
    (charging.mean_charging_power, (0.0,), {"supply": 1.0, "resistance": 1.0}, "stop must be above"),
    (
        discharge.SeriesLoop,
        (),
        {"resistance": -1.0, "inductance": 1.0, "capacitance": 1.0},
        "resistance must be at least 0 Ω",
    ),
    (discharge.SeriesLoop, (), {"resistance": 0, "inductance": 0, "capacitance": 1}, "inductance"),
    (discharge.SeriesLoop, (), {"resistance": 0, "inductance": 1, "capacitance": 0}, "capacitance"),
    (discharge.peak_current, (20.0,), {"arc_voltage": 20.0, "loop": LOOP}, "above the arc voltage 20 V"),
    (discharge.driving_voltage, (20.0, -1.0), {}, "arc_voltage must be at least 0 V"),
    (spent.discharge_current, (-1e-9,), {"voltage": 60.0, "loop": LOOP}, "elapsed must be at least 0 s"),
    (spent.left_voltage, (10.0,), {"arc_voltage": 20.0, "loop": LOOP}, "drives no current"),
    (spent.discharge_charge, (10.0,), {"arc_voltage": 20.0, "loop": LOOP}, "drives no current"),
    (spent.loop_action, (10.0,), {"arc_voltage": 20.0, "loop": LOOP}, "drives no current"),
    (
        step_up.CoilDrive,
        (),
        {"supply": 12.0, "inductance": 1e-6, "on_time": 2e-6, "period": 2e-6},
        "on_time must be below the period",
    ),
    (step_up.coil_energy, (1.0,), {"inductance": 0.0}, "inductance"),
    (
        step_up.step_up_charging_time,
        (24.0,),
        {"start": 24.0, "capacitance": 1e-4, "drive": DRIVE},
        "stop must be above the start of 24 V",
    ),
    (flyback.flyback_periods, (0.0,), {"capacitance": 1e-4, "drive": DRIVE}, "voltage"),
    (flyback.boundary_charging_time, (50.0,), COILS | {"start": 50.0}, "above the start of 50 V"),
    (flyback.boundary_charging_time, (50.0,), COILS | {"peak": 0.0}, "peak must be above 0 A"),
    (conversion.conduction_number, (1e-6,), {"load": 0.0, "period": 1e-6}, "load must be above 0 Ω"),
    (conversion.border_number, (1.0,), {}, "duty must be above 0 and below 1, got 1"),
    (conversion.voltage_ratio, (1.5,), {"conduction": 0.1}, "duty must be between 0 and 1"),
    (conversion.release_share, (0.0,), {"ratio": 2.0}, "duty must be above 0 and below 1, got 0"),
    (arc_feed.ballast_current, (20.0,), {"arc_voltage": 25.0, "resistance": 1.0}, "above the arc voltage"),
    (arc_feed.arc_share, (80.0,), {"arc_voltage": -1.0}, "arc_voltage must be at least 0 V"),
    (
        arc_feed.chopper_on_time,
        (80.0,),
        {"arc_voltage": 25.0, "inductance": 1e-4, "swing": 0.0},
        "swing must be above 0 A",
    ),
    (arc_feed.chopper_off_time, (0.0,), {"inductance": 1e-4, "swing": 1.0}, "arc_voltage must be above 0 V"),
    (sensing.divided_voltage, (60.0,), {"top": 0.0, "bottom": 1.0}, "top must be above 0 Ω"),
    (sensing.divided_band, (60.0,), DIVIDER | {"tolerance": 1.0}, "tolerance must be below 1"),
    (sensing.source_resistance, (), {"top": 1.0, "bottom": -1.0}, "bottom must be above 0 Ω"),
    (sensing.converter_step, (), DIVIDER | {"reference": 5.0, "bits": 0}, "bits must be at least 1"),
    (sensing.converter_code, (-1.0,), {"reference": 5.0, "bits": 10}, "voltage must be at least 0 V"),
    (real_parts.shunt_voltage, (1.0,), {"resistance": 0.0}, "resistance must be above 0 Ω"),
    (real_parts.stray_voltage, (math.inf,), {"inductance": 1e-9}, "slope must be a finite number of A/s"),
    (real_parts.loss_resistance, (0.1,), {"capacitance": 1e-4, "frequency": 0.0}, "frequency"),
    (timer.compare_value, (17e6,), {"clock": 16e6}, "at most that of the counted clock, 1.6e+07 Hz"),
    (timer.compare_value, (40e3,), {"clock": 16e6, "prescaler": 0}, "prescaler must be at least 1"),
    (timer.compare_value, (30e3,), {"clock": 16e6}, "nearest are 29962.54682 Hz and 30018.76173 Hz"),
    (timer.timer_frequency, (-1,), {"clock": 16e6}, "value must be at least 0"),
    (timer.on_counts, (12.03e-6,), {"clock": 16e6}, "nearest are 1.2e-05 s and 1.20625e-05 s"),
    (timer.on_counts, (1e-9,), {"clock": 16e6}, "whole number of counts"),
    (wire.straight_inductance, (0.1,), {"diameter": 1e-3, "internal": 0.5}, "between 0 and 0.25"),
    (fusing.skin_depth, (0.0,), {"resistivity": 1.7e-8}, "frequency must be above 0 Hz"),
    (fusing.skin_frequency, (1e-3,), {"resistivity": 0.0}, "resistivity must be above 0 Ω·m"),
    (fusing.slow_fusing_current, (-1e-3,), {}, "diameter must be above 0 m"),
    (fusing.slow_fusing_diameter, (0.0,), {}, "current must be above 0 A"),
    (fusing.fusing_action, (0.0,), {}, "area must be above 0 m²"),
]

UNANSWERED = [
    (step_up.release_time, (20.0,), {"drive": DRIVE}, "at least the border voltage 23.08 V"),
    (
        step_up.step_up_charging_time,
        (60.0,),
        {"start": 19.2, "capacitance": 1e-4, "drive": DRIVE},
        "start must be at least the border voltage 23.08 V, got 19.2 V",
    ),
    (conversion.voltage_ratio, (0.5,), {"conduction": 0.125}, "below its border 0.125"),
    (conversion.release_share, (0.5,), {"ratio": 1.9}, "ratio must be at least 2"),
    (sensing.converter_code, (5.0,), {"reference": 5.0, "bits": 10}, "below the full scale of 5 V"),
    (wire.straight_inductance, (9e-3,), {"diameter": 1e-3}, "at least 10 times the diameter"),
    (wire.pair_inductance, (1.0,), {"spacing": 1e-3, "radius": 0.5e-3}, "spacing must be above 0.001 m"),
    (wire.pair_inductance, (0.05,), {"spacing": 1e-2, "radius": 1e-3}, "10 times the spacing"),
    (wire.line_inductance, (1e-3,), {"radius": 1e-3}, "from axis to axis"),
    (wire.loop_inductance, (5e-3,), {"wire_radius": 1e-3}, "10 times the wire_radius"),
    (fusing.fusing_action, (1e-6,), {"ambient": 1400.0}, "ambient must be below the melting point"),
    (fusing.fast_fusing_current, (1e-6,), {"duration": 11.0}, "duration must be at most 10 s, got 11 s"),
]


def names(case: object) -> str | None:
    """Name of the law in a list of cases."""
    return getattr(case, "__name__", None)


@pytest.mark.parametrize(("law", "given", "named", "words"), REFUSED, ids=names)
def test_refused(law, given, named, words):
    with pytest.raises(InputRefused) as caught:
        law(*given, **named)
    assert words in str(caught.value)


@pytest.mark.parametrize(("law", "given", "named", "words"), UNANSWERED, ids=names)
def test_out_of_range(law, given, named, words):
    with pytest.raises(OutOfRange) as caught:
        law(*given, **named)
    assert words in str(caught.value)
