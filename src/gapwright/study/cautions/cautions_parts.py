"""Cautions about the generator's parts: ratings, ripple, shorts that no switch ends, standing arcs."""

from collections.abc import Iterator
from dataclasses import dataclass

from gapwright.base.quantity import printed_quantity
from gapwright.facts.limits import limit
from gapwright.gap.standing import StandingArc, standing_arc, standing_resistance
from gapwright.rig.generator import Relaxation, StepUp
from gapwright.rig.generator_kinds import IsoPulse
from gapwright.study.grounds.assemble import Bench
from gapwright.study.grounds.limit_words import RIG_FILE, by_limit, source_words
from gapwright.study.grounds.outcome import Caution, Degree
from gapwright.study.grounds.remedies import REMEDIES
from gapwright.study.grounds.store_duty import ripple_current
from gapwright.study.grounds.stress import Stress

NANOHENRIES_PER_CENTIMETRE = 10e-9
"""Inductance of a centimetre of wire [H]; common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rating:
    """What a part goes through, against what its maker allows."""

    what: str
    reached: float
    name: str
    allowed: float
    unit: str
    advice: str
    degree: Degree = Degree.CARE


def ratings_kept(made: Bench, stress: Stress) -> Iterator[Caution]:
    """One caution for every rating that the rig goes beyond."""
    generator = made.rig.generator
    if isinstance(generator, Relaxation):
        own = _resistor_ratings(generator, stress)
    elif isinstance(generator, StepUp):
        own = _step_up_ratings(generator, stress)
    elif isinstance(generator, IsoPulse):
        own = _resistor_ratings(generator, stress)[:1]
    else:
        own = ()
    for rating in (*_store_ratings(made, stress), *own):
        if rating.reached > rating.allowed:
            allowed = printed_quantity(rating.allowed, rating.unit)
            yield Caution(
                degree=rating.degree,
                text=f"{rating.what} reaches {printed_quantity(rating.reached, rating.unit)}, above "
                f"{rating.name} of {allowed}. {rating.advice}",
                limit=f"at most {allowed}, {rating.name}",
                source=RIG_FILE,
            )


def _store_ratings(made: Bench, stress: Stress) -> tuple[Rating, ...]:
    store = made.rig.generator.capacitor
    vents = store.type == "electrolytic"
    return (
        Rating(
            what="The voltage on the store",
            reached=stress.store_volts,
            name="the capacitor's rating",
            allowed=store.voltage_rating,
            unit="V",
            advice=REMEDIES["store", "voltage"],
            degree=Degree.DANGER if vents else Degree.CARE,
        ),
        Rating(
            what="The reversed voltage that sparks leave on the store",
            reached=-stress.reverse_volts,
            name="the capacitor's reverse rating",
            allowed=store.reverse_rating,
            unit="V",
            advice=REMEDIES["store", "reverse voltage"],
            degree=Degree.DANGER if vents else Degree.CARE,
        ),
        Rating(
            what="The ripple current of the store, r.m.s.,",
            reached=ripple_current(stress.action_a2s, rate=stress.spark_rate_hz),
            name="the capacitor's ripple rating",
            allowed=store.ripple_rating,
            unit="A",
            advice=REMEDIES["store", "ripple current, r.m.s."],
        ),
    )


def _resistor_ratings(generator: Relaxation | IsoPulse, stress: Stress) -> tuple[Rating, ...]:
    allowed = generator.resistor.power_rating
    return (
        Rating(
            what="The mean heat of the charging resistor while drilling",
            reached=stress.charging_resistor_w,
            name="the resistor's rating",
            allowed=allowed,
            unit="W",
            advice=REMEDIES["charging resistor", "power while sparking"],
        ),
        Rating(
            what="The heat of the charging resistor while the gap is shorted for good",
            reached=stress.short_circuit_current_a**2 * generator.resistor.resistance,
            name="the resistor's rating",
            allowed=allowed,
            unit="W",
            advice=REMEDIES["charging resistor", "power into a lasting short"],
        ),
    )


def _step_up_ratings(generator: StepUp, stress: Stress) -> tuple[Rating, ...]:
    peak = stress.coil_peak_a or 0.0
    lasting = max(stress.short_circuit_current_a, stress.feed_into_arc_a)
    return (
        Rating(
            what="The coil's current, start-up included,",
            reached=peak,
            name="the coil's saturation current",
            allowed=generator.coil.saturation_current,
            unit="A",
            advice=REMEDIES["coil", "peak current"],
        ),
        Rating(
            what="The switch's current",
            reached=peak,
            name="the switch's current rating",
            allowed=generator.switch.current_rating,
            unit="A",
            advice=REMEDIES["switch", "peak current"],
        ),
        Rating(
            what="The voltage on the open switch",
            reached=stress.store_volts + generator.diode.drop,
            name="the switch's voltage rating",
            allowed=generator.switch.voltage_rating,
            unit="V",
            advice=REMEDIES["switch", "voltage"],
        ),
        Rating(
            what="The voltage against the diode",
            reached=stress.store_volts,
            name="the diode's voltage rating",
            allowed=generator.diode.voltage_rating,
            unit="V",
            advice=REMEDIES["diode", "reverse voltage"],
        ),
        Rating(
            what="The current that a lasting short draws through the diode",
            reached=lasting,
            name="the diode's current rating",
            allowed=generator.diode.current_rating,
            unit="A",
            advice=REMEDIES["diode", "mean current"],
        ),
    )


def short_without_switch(made: Bench, stress: Stress) -> Iterator[Caution]:
    """A shorted gap behind a step-up stage is fed by the supply, whatever the switch does."""
    generator = made.rig.generator
    if not isinstance(generator, StepUp):
        return
    bears = min(generator.coil.saturation_current, generator.diode.current_rating)
    current = stress.short_circuit_current_a
    yield Caution(
        degree=Degree.CARE if current > bears else Degree.NOTE,
        text=f"A shorted gap draws {printed_quantity(current, 'A')} straight from the supply through coil, "
        f"diode and gap, and no switch can interrupt it. Set the supply's limit no higher than coil and "
        f"diode bear, and put a fuse or a second switch before the coil.",
        limit=f"at most {printed_quantity(bears, 'A')}, what coil and diode bear",
        source=RIG_FILE,
    )


def arc_that_stands(made: Bench, stress: Stress) -> Iterator[Caution]:
    """How readily the charger feeds an arc that stands: graded, never ruled out."""
    bound = limit("standing-arc-likely")
    current = max(stress.short_circuit_current_a, stress.feed_into_arc_a)
    least = made.hold_current
    grade = standing_arc(current, least_arc_current=least, likely_above=bound.value)
    pushes, needs = printed_quantity(current, "A"), printed_quantity(least, "A")
    degree, text = {
        StandingArc.UNLIKELY: (
            Degree.NOTE,
            f"A standing arc is unlikely, never impossible: the charger pushes at most {pushes}, below the "
            f"{needs} that these metals need. Should one stand, draw back and look for a wrong wire.",
        ),
        StandingArc.POSSIBLE: (
            Degree.CARE,
            f"A standing arc is possible: the charger pushes up to {pushes}, and these metals need only "
            f"{needs}. Draw back at once when the gap stays near "
            f"{printed_quantity(made.burning, 'V')}{_cure(made)}.",
        ),
        StandingArc.LIKELY: (
            Degree.DANGER,
            f"A standing arc is likely: the charger pushes up to {pushes}, far more than the {needs} that "
            f"these metals need. Let the controller cut the charger when the gap stays near "
            f"{printed_quantity(made.burning, 'V')}{_cure(made)}.",
        ),
    }[grade]
    yield Caution(
        degree=degree,
        text=text,
        limit=f"unlikely below {needs}, possible to {printed_quantity(bound.value, 'A')}, likely above; "
        f"published rules disagree by a factor of ten",
        source=source_words(bound),
    )


def _cure(made: Bench) -> str:
    """What would make a standing arc unlikely, as the end of a sentence."""
    if isinstance(made.rig.generator, StepUp):
        return ", or lower the supply's current limit"
    if not isinstance(made.rig.generator, Relaxation):
        return ""
    ohms = standing_resistance(made.rig.supply.voltage, least_arc_current=made.hold_current)
    return f", or charge through more than {printed_quantity(ohms, 'Ω')}"


def shared_leads(made: Bench, stress: Stress) -> Iterator[Caution]:
    """A spark's rise of current disturbs whatever shares a wire with it."""
    rise = max(0.0, stress.store_volts - made.burning) / stress.lead_inductance_h
    step = NANOHENRIES_PER_CENTIMETRE * rise
    if not limit("shared-lead-voltage").broken_by(step):
        return
    yield by_limit(
        Degree.NOTE,
        f"The spark's current rises by {rise * 1e-6:.3g} A/µs: every centimetre of wire that gap and "
        f"controller share puts {printed_quantity(step, 'V', digits=2)} on the controller's ground and may "
        f"reset it. Join the two at one point only.",
        "shared-lead-voltage",
    )


RULES = (ratings_kept, short_without_switch, arc_that_stands, shared_leads)
