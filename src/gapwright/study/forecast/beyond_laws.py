"""Laws that drillings took outside their stated range, and how far: flow, warmth, debris."""

from collections.abc import Sequence

from gapwright.gap.flushing import TURBULENT_FROM, reynolds_number
from gapwright.rig.setup import bore_diameter
from gapwright.study.drilling.drilling import Course
from gapwright.study.grounds import _drilling_state as state
from gapwright.study.grounds.assemble import Bench
from gapwright.study.grounds.limit_words import celsius_text
from gapwright.study.grounds.outcome import Excess

CROWDED_FROM = 0.01
"""Share of a drilling's time at the most debris that its law allows, from which on that is told."""


def flow_excess(made: Bench, done: Course) -> list[Excess]:
    """Whether the flow through the bore leaves the range of its law.

    Parameters
    ----------
    made
        Rig and job with their facts.
    done
        What a drilling did.
    """
    flow, bore = float(done.numbers[state.FLOW]), bore_diameter(made.rig.setup.electrode)
    if flow <= 0.0:
        return []
    number = reynolds_number(
        flow, bore=bore, viscosity=made.liquid.viscosity.value, density=made.liquid.density.value
    )
    if number < TURBULENT_FROM:
        return []
    return [
        Excess(
            law="laminar flow through the bore",
            how_far=f"Reynolds number {number:.0f}, the law holds to {TURBULENT_FROM:g}; true flow is less",
        )
    ]


def heat_excess(made: Bench, courses: Sequence[Course]) -> list[Excess]:
    """Whether the warmth leaves the range of its laws: liquid stays liquid, and the workpiece solid.

    Parameters
    ----------
    made
        Rig and job with their facts.
    courses
        What the drillings did, at least one.
    """
    wall = max(float(done.numbers[state.HOTTEST_WALL]) for done in courses)
    found = []
    if not made.dry and made.liquid.knows("boiling_point"):
        hottest = max(wall, *(float(done.numbers[state.HOTTEST]) for done in courses))
        boiling = made.liquid.fact("boiling_point").value
        if hottest > boiling:
            found.append(
                Excess(
                    law="warmth of the liquid in the gap",
                    how_far=f"up to {celsius_text(hottest)}, the law holds to the boiling point, "
                    f"{celsius_text(boiling)}",
                )
            )
    melting = made.workpiece.melting_temperature.value
    if wall > melting:
        found.append(
            Excess(
                law="warmth of the hole's wall",
                how_far=f"up to {celsius_text(wall)}, the law holds to the melting point, "
                f"{celsius_text(melting)}",
            )
        )
    return found


def debris_excess(courses: Sequence[Course]) -> list[Excess]:
    """Whether the debris reached the most that its law allows.

    Parameters
    ----------
    courses
        What the drillings did, at least one.
    """
    share = max(float(done.numbers[state.CROWDED]) / done.time for done in courses)
    if share < CROWDED_FROM:
        return []
    return [
        Excess(
            law="debris in the gap",
            how_far=f"for up to {100 * share:.0f} % of the time at the largest share that the law allows",
        )
    ]
