"""What a plain meter should show on this rig when all is well, and what a wrong reading means."""

from dataclasses import dataclass

from gapwright.base.checks import require_positive
from gapwright.base.quantity import printed_quantity
from gapwright.base.units import Metres, Ohms, SquareMetres
from gapwright.facts.limits import limit
from gapwright.gap.leakage import conductance
from gapwright.rig.generator import StepUp, short_circuit_current
from gapwright.study.grounds.assemble import Bench
from gapwright.study.grounds.outcome import Banded, Reading

METER_TOP: Ohms = 20e6
"""Largest resistance that a plain meter shows [Ω]; from memory."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingFigures:
    """Forecast numbers that a meter can check."""

    supply_current_a: Banded
    """Mean current that the generator draws from the supply."""
    mean_gap_voltage_v: Banded
    charge_cycles_hz: Banded
    """Sparks per second where a resistor charges the store, coil cycles per second where a coil does."""
    gap_m: Metres
    """Working gap before the electrode's front, above 0."""
    front_area_m2: SquareMetres
    """Area of the electrode's front that faces the workpiece."""

    def __post_init__(self) -> None:
        """Refuse a front without area or gap."""
        require_positive("front_area_m2", self.front_area_m2, "m²")
        require_positive("gap_m", self.gap_m, "m")


def expected_readings(made: Bench, figures: ReadingFigures) -> dict[str, Reading]:
    """Meter readings of this rig at work on this job, by their keys.

    Parameters
    ----------
    made
        Rig and job with their facts.
    figures
        What the forecast found.
    """
    found = {
        "supply_current_a": _supply_current(made, figures.supply_current_a),
        "mean_gap_voltage_v": _mean_gap_voltage(made, figures.mean_gap_voltage_v),
        "charge_cycles_hz": _charge_cycles(made, figures.charge_cycles_hz),
        "open_gap_resistance_ohm": _open_gap(made, figures),
        "spindle_to_frame_ohm": _spindle(made),
    }
    if not made.dry:
        found["liquid_conductivity_siemens_per_m"] = _conductivity(made)
    return found


def _reading(name: str, value: Banded, unit: str, *, if_low: str, if_high: str) -> Reading:
    return Reading(
        name=name,
        median=value.median,
        low=value.low,
        high=value.high,
        unit=unit,
        if_low=if_low,
        if_high=if_high,
    )


def _supply_current(made: Bench, value: Banded) -> Reading:
    short = printed_quantity(short_circuit_current(made.rig.generator, made.rig.supply), "A")
    leaks = "" if made.dry else ", or the liquid conducts: measure it"
    return _reading(
        "supply current, plain meter between supply and generator",
        value,
        "A",
        if_low="the gap stands open and nothing recharges: raise the gain or the feed, look for a loose wire",
        if_high=f"at about {short} the gap is shorted{leaks}",
    )


def _mean_gap_voltage(made: Bench, value: Banded) -> Reading:
    open_volts, arc = printed_quantity(made.ceiling, "V"), printed_quantity(made.burning, "V")
    short = printed_quantity(made.rig.controller.short_threshold, "V")
    return _reading(
        "mean gap voltage, plain meter through 10 kΩ and 1 µF",
        value,
        "V",
        if_low=f"below {short} the gap is shorted; steady near {arc} an arc stands: draw back",
        if_high=f"near {open_volts} the gap stands open: the feed is too slow, or the set point too high",
    )


def _charge_cycles(made: Bench, value: Banded) -> Reading:
    if isinstance(made.rig.generator, StepUp):
        return _reading(
            "coil cycles per second, counter at the switch's gate",
            value,
            "Hz",
            if_low="the store stays full, so few sparks strike: the gap is too wide",
            if_high="the store never fills: sparks come early, or the gap leaks or is shorted",
        )
    early = (
        "the contacts chatter: slow the feed" if made.dry else "debris bridges the gap: flush or draw back"
    )
    return _reading(
        "sparks per second, counter behind 10 kΩ at the gap",
        value,
        "Hz",
        if_low="the gap is too wide or shorted: the mean gap voltage tells which",
        if_high=f"sparks come early and small, {early}",
    )


def _liquid_conductivity(made: Bench) -> float:
    """Conductivity of what fills the gap: as measured, else of the tables."""
    own = made.rig.setup.liquid.conductivity
    return made.liquid.conductivity.value if own is None else own


def _seen_by_meter(made: Bench, figures: ReadingFigures) -> Banded:
    """Resistance of gap and bleeder together, or that it is beyond the meter's range."""
    bleeder = made.rig.generator.bleeder
    total = 0.0 if bleeder is None else 1.0 / bleeder
    if not made.dry:
        total += conductance(figures.front_area_m2, figures.gap_m, conductivity=_liquid_conductivity(made))
    if total * METER_TOP < 1.0:
        return Banded(median=None, low=METER_TOP, high=None)
    return Banded(median=1.0 / total, low=None, high=bleeder)


def _open_gap(made: Bench, figures: ReadingFigures) -> Reading:
    if made.dry:
        if_low = "a burr or debris bridges the gap; below 1 Ω the two touch"
    else:
        if_low = "debris bridges the gap, or the liquid conducts: measure it; below 1 Ω the two touch"
    return _reading(
        "electrode to workpiece at the working gap, plain meter, supply unplugged, store empty",
        _seen_by_meter(made, figures),
        "Ω",
        if_low=if_low,
        if_high=_wide_open(made),
    )


def _wide_open(made: Bench) -> str:
    """What a gap that hardly conducts, or not at all, means."""
    bleeder = made.rig.generator.bleeder
    if bleeder is None and made.dry:
        return "nothing wrong: it is over the meter's range"
    if bleeder is None:
        return "the gap is wider or less wet than at work"
    alone = printed_quantity(bleeder, "Ω")
    return f"at {alone} the bleeder alone conducts, as it should when lifted clear; more: a wire is off"


def _spindle(made: Bench) -> Reading:
    measured, bound = made.rig.setup.spindle.insulation, limit("spindle-insulation")
    least = printed_quantity(bound.value, "Ω")
    return _reading(
        "spindle to frame, plain meter, supply unplugged, running and wet",
        Banded(median=measured, low=min(measured, bound.value), high=None),
        "Ω",
        if_low=f"below {least} the spindle leaks to the frame: dry it, renew its insulation, look for chips",
        if_high="nothing wrong",
    )


def _conductivity(made: Bench) -> Reading:
    value, bound = _liquid_conductivity(made), limit("water-conductivity")
    if made.liquid.kind != "water":
        return _reading(
            "conductivity of the liquid, pocket meter, which shows 0 in clean oil",
            Banded(median=value, low=None, high=None),
            "S/m",
            if_low="nothing wrong",
            if_high="water or metal dust got in: settle it, filter it or change it",
        )
    most = printed_quantity(bound.value, "S/m")
    return _reading(
        "conductivity of the water, pocket meter in the vessel",
        Banded(median=value, low=None, high=max(value, bound.value)),
        "S/m",
        if_low="purer than stated: fine, the gap only gets a little narrower",
        if_high=f"above {most} the entry comes out bell-mouthed and the open voltage falls: change the water",
    )
