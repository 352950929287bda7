"""Findings about heat: watts of each part in its worst scene, and the temperature that makes of them."""

from collections.abc import Iterator

from gapwright.base.quantity import printed_quantity
from gapwright.base.units import Number, Watts
from gapwright.circuit.engine.run import Run
from gapwright.circuit.stages.generators import COIL, DIODE, STORE
from gapwright.facts.limits import limit
from gapwright.study.generator.scenes import Scenes
from gapwright.study.grounds.assemble import Bench
from gapwright.study.grounds.finding import Finding, Held, finding
from gapwright.study.grounds.limit_words import celsius_text, source_words

RESISTOR = "charging resistor"
SURROUNDINGS = 298.15
"""Temperature around the parts [K]."""

HEATED = {
    "resistor": (RESISTOR, "temperature-resistor"),
    "capacitor": (STORE, "temperature-capacitor"),
    "coil": (COIL, "temperature-winding"),
    "switch": ("transistor", "temperature-semiconductor"),
    "diode": (DIODE, "temperature-semiconductor"),
}
"""Key of a part in the rig file: the account of its heat, and the limit of its temperature."""
ACCOUNTS = {STORE: "capacitor series resistance"}
"""Account of a part's heat where it is not called like the part."""


def watts(ran: Run, part: str) -> Watts:
    """Mean heat of a part in a run."""
    return ran.joules("out", ACCOUNTS.get(part, part)) / ran.duration


def heat_findings(made: Bench, seen: Scenes) -> Iterator[Finding]:
    """Watts of each part in its worst lasting scene, and how hot that makes it."""
    for key, (account, limit_key) in HEATED.items():
        part = getattr(made.rig.generator, key, None)
        if part is None:
            continue
        heat = {name: watts(each.lasting, account) for name, each in seen.by_name.items()}
        worst = max(heat, key=lambda name: heat[name])
        bound = limit(limit_key)
        rise = bound.value - SURROUNDINGS
        cooling: Number | None = part.thermal_resistance
        power = printed_quantity(heat[worst], "W")
        remedy = "Give it more metal or air, or share its current between two."
        if cooling is None:
            yield _heat_alone(key, scene=worst, heat=heat[worst], rise=rise)
            continue
        yield finding(
            Held(
                part=key,
                quantity="temperature",
                scene=worst,
                found=SURROUNDINGS + heat[worst] * cooling,
                limit=bound.value,
                unit="K",
            ),
            text=f"The {key} turns {power} to heat in the scene {worst!s} and rises by "
            f"{heat[worst] * cooling:.0f} K, to {celsius_text(SURROUNDINGS + heat[worst] * cooling)} in a "
            f"room of {celsius_text(SURROUNDINGS)}; at most {celsius_text(bound.value)} is allowed.",
            remedy=remedy,
            source=source_words(bound),
        )


def _heat_alone(key: str, *, scene: str, heat: Watts, rise: Number) -> Finding:
    """Watts of a part whose cooling nobody has told."""
    needs = (
        f"; it stays within its limit if each watt warms it by at most {rise / heat:.3g} K"
        if heat > 0.01
        else ""
    )
    return finding(
        Held(part=key, quantity="heat", scene=scene, found=heat, unit="W"),
        text=f"The {key} turns at most {printed_quantity(heat, 'W')} to heat, in the scene {scene!s}{needs}.",
        remedy=f'Give generator.{key}.thermal_resistance, such as "40 K/W", to see its temperature.',
        source="computed",
    )
