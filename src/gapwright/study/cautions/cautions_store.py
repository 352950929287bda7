"""Cautions about the store: metal spray, shock, touch voltage, bleeding, venting."""

from collections.abc import Iterator

from gapwright.base.quantity import printed_quantity
from gapwright.facts.limits import limit
from gapwright.rig.generator import gives_pulses
from gapwright.study.grounds.assemble import Bench
from gapwright.study.grounds.limit_words import PRACTICE, by_limit, source_words
from gapwright.study.grounds.outcome import Caution, Degree
from gapwright.study.grounds.store_duty import bleed_time, largest_bleeder
from gapwright.study.grounds.stress import Stress


def is_shocking(stress: Stress) -> bool:
    """Whether the charged store can give a dangerous shock, by the stricter threshold."""
    high = limit("shock-voltage").broken_by(stress.store_volts)
    return high and limit("shock-energy").broken_by(stress.stored_energy_j)


def metal_spray(_made: Bench, stress: Stress) -> Iterator[Caution]:
    """A short across the store throws molten metal, at any voltage."""
    if not limit("stored-energy-caution").broken_by(stress.stored_energy_j):
        return
    burns = limit("burn-energy").broken_by(stress.stored_energy_j)
    held = f"{printed_quantity(stress.stored_energy_j, 'J')} at {printed_quantity(stress.store_volts, 'V')}"
    yield by_limit(
        Degree.DANGER if burns else Degree.CARE,
        f"The store holds {held}: a short across it sprays molten metal and burns. Wear goggles, take "
        f"rings off, and keep loose tools away from it.",
        "burn-energy" if burns else "stored-energy-caution",
    )


def shock(_made: Bench, stress: Stress) -> Iterator[Caution]:
    """A store of high voltage and enough energy can kill."""
    if not is_shocking(stress):
        return
    voltage, energy = limit("shock-voltage"), limit("shock-energy")
    yield Caution(
        degree=Degree.DANGER,
        text=f"The store holds {printed_quantity(stress.stored_energy_j, 'J')} at "
        f"{printed_quantity(stress.store_volts, 'V')}, enough for a dangerous shock. Cover it so that no "
        f"hand reaches it, and check with a meter that it is empty before you touch anything.",
        limit=f"from {printed_quantity(voltage.value, 'V')} and {printed_quantity(energy.value, 'J')} "
        f"together",
        source=f"{source_words(voltage)}; {source_words(energy)}",
    )


def touch_voltage(made: Bench, stress: Stress) -> Iterator[Caution]:
    """Bare parts above the voltage that may be touched; twice that is a danger."""
    key, lower = ("touch-dry-dc", "dry") if made.dry else ("touch-wet-dc", "wet")
    bound, reached = limit(key), stress.store_volts
    if gives_pulses(made.rig.generator):
        reached = max(reached, made.ceiling)
    if not bound.broken_by(reached):
        return
    grave = limit("selv-dc" if made.dry else "touch-dry-dc").broken_by(reached)
    earthed = made.rig.supply.earthing == "earthed"
    alone = "; one pole is earthed, so touching the other alone is enough" if earthed else ""
    hands = "" if made.dry else ", and keep hands out of the liquid while the supply is on"
    yield by_limit(
        Degree.DANGER if grave else Degree.CARE,
        f"The open gap reaches {printed_quantity(reached, 'V')}, above the "
        f"{printed_quantity(bound.value, 'V')} that bare parts may have where it is {lower}{alone}. Cover "
        f"electrode, workpiece and store{hands}.",
        key,
    )


def bleeding(made: Bench, stress: Stress) -> Iterator[Caution]:
    """A store that stays charged after the supply is off."""
    generator = made.rig.generator
    capacitance, volts = generator.capacitor.capacitance, stress.store_volts
    bound = limit("residual-voltage" if made.dry else "residual-voltage-wet")
    exempt = not limit("residual-charge").broken_by(capacitance * volts)
    if exempt or not bound.broken_by(volts):
        return
    soon, latest = limit("residual-time-reachable"), limit("residual-time")
    left, high = printed_quantity(bound.value, "V"), printed_quantity(volts, "V")
    late = True
    if generator.bleeder is None:
        found = f"Nothing empties the store once the supply is off: up to {high} stays on it."
    else:
        took = bleed_time(volts, left=bound.value, resistance=generator.bleeder, capacitance=capacitance)
        if not soon.broken_by(took):
            return
        late = latest.broken_by(took)
        found = (
            f"The bleeder of {printed_quantity(generator.bleeder, 'Ω')} takes "
            f"{printed_quantity(took, 's')} to bring the store from {high} to {left} once the supply is off."
        )
    grave = is_shocking(stress)
    yield Caution(
        degree=(Degree.DANGER if grave else Degree.CARE) if late else (Degree.CARE if grave else Degree.NOTE),
        text=f"{found} {_bleeder_wanted(made, stress)}",
        limit=f"at most {left} left after {printed_quantity(soon.value, 's')} where the store can be "
        f"reached, after {printed_quantity(latest.value, 's')} in any case",
        source=source_words(latest)
        if made.dry
        else f"{source_words(latest)}; the voltage: {source_words(bound)}",
    )


def _bleeder_wanted(made: Bench, stress: Stress) -> str:
    """Advice on the bleeder that empties the store in time."""
    bound = limit("residual-voltage" if made.dry else "residual-voltage-wet")
    soon = limit("residual-time-reachable").value
    ohms = largest_bleeder(
        stress.store_volts,
        left=bound.value,
        time=soon,
        capacitance=made.rig.generator.capacitor.capacitance,
    )
    heat = printed_quantity(stress.store_volts**2 / ohms, "W")
    return (
        f"Put at most {printed_quantity(ohms, 'Ω')} across it, which takes {heat}, to reach "
        f"{printed_quantity(bound.value, 'V')} within {printed_quantity(soon, 's')}."
    )


def venting(made: Bench, _stress: Stress) -> Iterator[Caution]:
    """An electrolytic that is maltreated opens its vent."""
    if made.rig.generator.capacitor.type != "electrolytic":
        return
    yield Caution(
        degree=Degree.CARE,
        text="An electrolytic that is reversed, too hot or over its voltage vents hot liquid or bursts. Wear "
        "goggles, put it under a cover, and take a film capacitor as soon as you can.",
        limit="always with an electrolytic store",
        source=PRACTICE,
    )


RULES = (shock, touch_voltage, metal_spray, bleeding, venting)
