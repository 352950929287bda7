"""Cautions about what fills the gap: fire, mist, fumes, gas, dissolved metal, water near the mains."""

from collections.abc import Iterator

from gapwright.base.quantity import printed_quantity
from gapwright.base.units import CubicMetres
from gapwright.facts.limits import limit
from gapwright.facts.materials import Material, material
from gapwright.facts.sources import source
from gapwright.gap.breakdown import ATMOSPHERE
from gapwright.gap.dissolution import dissolved_volume, gas_volume
from gapwright.rig.setup import flushing_pressure
from gapwright.study.grounds.assemble import Bench
from gapwright.study.grounds.limit_words import PRACTICE, by_limit, celsius_text, limit_words, source_words
from gapwright.study.grounds.outcome import Caution, Degree
from gapwright.study.grounds.stress import Stress

HOUR = 3600.0
IN_HYDROGEN, VALENCE = 2, 2
"""Electrons for a molecule of hydrogen, and the fewest that an atom of most metals gives; from memory."""
OTHER_VALENCE = {"silver": 1, "aluminium": 3, "titanium": 3, "tungsten": 6, "molybdenum": 6}
"""Metals that give another number of electrons, from memory."""
STANDS_FOR = {
    "stainless-304": "iron",
    "brass": "copper",
    "tungsten-carbide-cobalt": "cobalt",
    "tungsten-copper": "copper",
    "ti-6al-4v": "titanium",
    "nickel-718": "nickel",
}
"""Pure metal whose figures stand for an alloy's that dissolves."""


def litres_text(volume: CubicMetres) -> str:
    """A volume of liquid or gas as a bench speaks of it.

    Examples
    --------
    >>> litres_text(36e-6), litres_text(2.5e-3)
    ('36 mL', '2.5 L')
    """
    return f"{1e6 * volume:.3g} mL" if volume < 1e-3 else f"{1e3 * volume:.3g} L"


def burning_cover(made: Bench, _stress: Stress) -> Iterator[Caution]:
    """Hydrocarbon that does not stand deep enough over the spark burns, whatever its flash point."""
    cover, bound = made.rig.setup.liquid.cover, limit("liquid-cover")
    if not made.liquid.flammable or not bound.broken_by(cover):
        return
    stands = (
        f"stands only {printed_quantity(cover, 'm')} over the spark" if cover > 0.0 else "only wets the work"
    )
    yield by_limit(
        Degree.DANGER,
        f"The {made.liquid.title} {stands}: a spark in a film or a drip sets it alight, whatever its flash "
        f"point. Cover the spark by at least {printed_quantity(bound.value, 'm')}, with a level switch "
        f"that cuts the supply.",
        "liquid-cover",
    )


def warm_liquid(made: Bench, _stress: Stress) -> Iterator[Caution]:
    """Hydrocarbon too close to its flash point."""
    if not made.liquid.flammable:
        return
    flash, warm = made.liquid.flash_point.value, made.rig.setup.liquid.temperature
    bound = limit("flash-margin")
    if not bound.broken_by(flash - warm):
        return
    yield by_limit(
        Degree.DANGER,
        f"The {made.liquid.title} is at {celsius_text(warm)}, and it may flash at {celsius_text(flash)}. "
        f"Stop and let it cool below {celsius_text(flash - bound.value)}.",
        "flash-margin",
    )


def flash_point(made: Bench, _stress: Stress) -> Iterator[Caution]:
    """A hydrocarbon that flashes too early for this work."""
    if not made.liquid.flammable:
        return
    flash = made.liquid.flash_point.value
    if limit("flash-point").broken_by(flash):
        degree, key = Degree.CARE, "flash-point"
    elif limit("flash-point-preferred").broken_by(flash):
        degree, key = Degree.NOTE, "flash-point-preferred"
    else:
        return
    yield by_limit(
        degree,
        f"The {made.liquid.title} may flash from {celsius_text(flash)}: read its data sheet, and take a "
        f"liquid that flashes above {celsius_text(limit('flash-point-preferred').value)}.",
        key,
    )


def mist(made: Bench, _stress: Stress) -> Iterator[Caution]:
    """Hydrocarbon that is pressed out makes mist, which burns like vapour."""
    pressure = flushing_pressure(made.rig.setup.flushing)
    if not made.liquid.flammable or pressure <= 0.0:
        return
    yield Caution(
        degree=Degree.CARE,
        text=f"At {printed_quantity(pressure, 'Pa')} the {made.liquid.title} can come out as mist, which "
        f"burns far below the flash point and harms the lungs. Keep jet and outlet under the surface, and "
        f"screen the work.",
        limit="no mist of a liquid that burns",
        source=PRACTICE,
    )


def fumes(made: Bench, _stress: Stress) -> Iterator[Caution]:
    """Sparks turn metal and liquid into fumes."""
    if made.rig.setup.surroundings.exhaust:
        return
    mild = made.liquid.kind == "water"
    what = "metal" if made.dry or mild else "metal and cracked oil"
    yield Caution(
        degree=Degree.NOTE if mild else Degree.CARE,
        text=f"Sparks make fumes of {what}, and nothing draws them off. Put an extractor with a filter at "
        f"the work, or at least open air between it and your face.",
        limit="always an exhaust with a filter",
        source=source("iso-28881").title,
    )


def hydrogen(made: Bench, stress: Stress) -> Iterator[Caution]:
    """Current through water makes gas."""
    if made.liquid.kind != "water" or stress.leak_current_a <= 0.0:
        return
    per_hour = gas_volume(
        stress.leak_current_a * HOUR,
        electrons=IN_HYDROGEN,
        temperature=made.rig.setup.liquid.temperature,
        pressure=ATMOSPHERE,
    )
    trapped = per_hour / limit("hydrogen-share").value
    yield by_limit(
        Degree.NOTE,
        f"The leak of {printed_quantity(stress.leak_current_a, 'A')} through the water makes up to "
        f"{litres_text(per_hour)} of hydrogen an hour, enough to let {litres_text(trapped)} of trapped air "
        f"burn. Leave the vessel open at the top.",
        "hydrogen-share",
    )


def dissolving(made: Bench, stress: Stress) -> Iterator[Caution]:
    """Conductive water dissolves the positive side and widens the entry."""
    conductivity = made.rig.setup.liquid.conductivity
    bound = limit("water-conductivity")
    if made.liquid.kind != "water" or conductivity is None or not bound.broken_by(conductivity):
        return
    yield Caution(
        degree=Degree.CARE,
        text=f"Water of {printed_quantity(conductivity, 'S/m')} {_dissolved_text(made, stress)}, so that "
        f"the entry comes out bell-mouthed. Deionise it, and stop the charger whenever no spark is wanted.",
        limit=limit_words(bound),
        source=f"{source_words(bound)}; the volume by Faraday's law",
    )


def _dissolved_text(made: Bench, stress: Stress) -> str:
    """How much metal the leak may dissolve over a hole."""
    positive = made.workpiece if made.rig.setup.polarity == "workpiece positive" else made.electrode
    side = "workpiece" if positive is made.workpiece else "electrode"
    stands = _pure_metal(positive)
    if stands is None:
        return "lets current past the sparks"
    volume = dissolved_volume(
        stress.leak_current_a * stress.duration_s,
        molar_mass=stands.fact("molar_mass").value,
        density=stands.density.value,
        electrons=OTHER_VALENCE.get(stands.key, VALENCE),
    )
    leak, hole = printed_quantity(stress.leak_current_a, "A"), printed_quantity(stress.duration_s, "s")
    return f"leaks {leak}, which in {hole} dissolves up to {printed_quantity(volume, 'm³')} of the {side}"


def _pure_metal(found: Material) -> Material | None:
    """Metal whose figures hold for a material that dissolves; None for graphite, which does not."""
    if found.family == "graphite":
        return None
    return material(STANDS_FOR.get(found.key, found.heat_capacity_of))


def residual_current(made: Bench, _stress: Stress) -> Iterator[Caution]:
    """Liquid near what is plugged in."""
    if made.dry:
        return
    bound = limit("residual-current")
    yield by_limit(
        Degree.NOTE,
        f"Liquid stands near what is plugged into the mains. Put a residual-current device of at most "
        f"{printed_quantity(bound.value, 'A')} upstream of everything, and test it.",
        "residual-current",
    )


RULES = (burning_cover, warm_liquid, flash_point, mist, fumes, hydrogen, dissolving, residual_current)
