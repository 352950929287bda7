"""Cautions about the bench: leaving it alone, harmful sludge, insulation, run-out, sparks too large."""

from collections.abc import Iterator

from gapwright.base.quantity import printed_quantity
from gapwright.facts.limits import limit
from gapwright.facts.sources import source
from gapwright.rig.setup import Rod
from gapwright.study.grounds.assemble import Bench, swept_diameter, usual
from gapwright.study.grounds.limit_words import PRACTICE, by_limit
from gapwright.study.grounds.outcome import Caution, Degree
from gapwright.study.grounds.stress import Stress

HARMFUL = {
    "cobalt": "cobalt",
    "tungsten-carbide-cobalt": "cobalt",
    "nickel": "nickel",
    "nickel-718": "nickel",
    "stainless-304": "nickel",
}
"""Materials whose sludge harms, and by which metal."""
MAY_HOLD_BERYLLIUM = frozenset({"copper"})
"""Workpieces of which hardened grades hold beryllium."""


def unattended(made: Bench, _stress: Stress) -> Iterator[Caution]:
    """A rig that drills alone."""
    if made.rig.setup.surroundings.attended:
        return
    if made.liquid.flammable:
        degree = Degree.DANGER
        text = (
            f"The rig is to run alone over {made.liquid.title}, which burns. Stay beside it, or watch "
            f"level and temperature by switches that cut the supply and have a fire put out without you."
        )
    else:
        degree = Degree.CARE
        text = (
            "The rig is to run alone. Stay beside it, or have a short, an arc or a lost level cut the supply "
            "without you, and nothing near that burns."
        )
    yield Caution(
        degree=degree,
        text=text,
        limit="alone only with level, temperature and fire watched by machine",
        source=source("iso-28881").title,
    )


def harmful_sludge(made: Bench, _stress: Stress) -> Iterator[Caution]:
    """Sludge that holds cobalt, nickel or beryllium."""
    metals = sorted({HARMFUL[m.key] for m in (made.electrode, made.workpiece) if m.key in HARMFUL})
    if metals:
        named = " and ".join(metals)
        yield Caution(
            degree=Degree.CARE,
            text=f"Sludge and used liquid will hold {named}, which harms skin and lungs. Wear gloves, let "
            f"nothing dry to dust, and hand it in as hazardous waste.",
            limit="always with cobalt, nickel or beryllium",
            source=PRACTICE,
        )
    elif made.workpiece.key in MAY_HOLD_BERYLLIUM:
        yield Caution(
            degree=Degree.NOTE,
            text="If the copper is a hardened grade it may hold beryllium, whose dust and fumes harm the "
            "lungs for good. Use plain copper, or keep sludge wet and draw the fumes off.",
            limit="always with cobalt, nickel or beryllium",
            source=PRACTICE,
        )


def spindle_insulation(made: Bench, _stress: Stress) -> Iterator[Caution]:
    """A spindle that is not insulated from the frame puts the gap's voltage on the machine."""
    measured, bound = made.rig.setup.spindle.insulation, limit("spindle-insulation")
    if not bound.broken_by(measured):
        return
    yield by_limit(
        Degree.CARE,
        f"Spindle to frame measures only {printed_quantity(measured, 'Ω')}: sparks may cross the bearings "
        f"and the frame may carry the gap's voltage. Insulate it to at least "
        f"{printed_quantity(bound.value, 'Ω')}, measured running and wet.",
        "spindle-insulation",
    )


def spindle_run_out(made: Bench, _stress: Stress) -> Iterator[Caution]:
    """Run-out that widens the hole."""
    measured, bound = made.rig.setup.spindle.run_out, limit("run-out")
    if not bound.broken_by(measured) or made.rig.setup.spindle.speed == 0.0:
        return
    yield by_limit(
        Degree.NOTE,
        f"With {printed_quantity(measured, 'm')} of run-out the electrode sweeps "
        f"{printed_quantity(swept_diameter(made.rig), 'm')} and widens the hole by as much. True it to "
        f"{printed_quantity(bound.value, 'm')} or less.",
        "run-out",
    )


def spark_size(made: Bench, stress: Stress) -> Iterator[Caution]:
    """Craters too wide for the electrode that makes them."""
    electrode = made.rig.setup.electrode
    if isinstance(electrode, Rod):
        share, across, part = usual(made, "spark-size-rod"), electrode.diameter, "the rod's diameter"
    else:
        share, across, part = (
            usual(made, "spark-size-wall"),
            0.5 * (electrode.diameter - electrode.bore),
            "the tube's wall",
        )
    scale, power = usual(made, "crater-width-coefficient"), usual(made, "crater-width-exponent")
    crater, widest = scale * stress.spark_energy_j**power, share * across
    if crater <= widest:
        return
    most = (widest / scale) ** (1.0 / power)
    yield Caution(
        degree=Degree.NOTE,
        text=f"A spark of {printed_quantity(stress.spark_energy_j, 'J')} makes a crater about "
        f"{printed_quantity(crater, 'm')} wide, too wide for {part} of {printed_quantity(across, 'm')}: "
        f"the electrode loses its shape. Sparks of at most {printed_quantity(most, 'J')} suit it.",
        limit=f"crater at most {share:g} of {part}, here {printed_quantity(widest, 'm')}",
        source=PRACTICE,
    )


RULES = (unattended, harmful_sludge, spindle_insulation, spindle_run_out, spark_size)
