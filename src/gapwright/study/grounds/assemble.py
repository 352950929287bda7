"""Rig and job with their facts looked up, and what of them the laws take."""

from dataclasses import dataclass, replace

from gapwright.base.errors import InputRefused
from gapwright.base.quantity import printed_quantity
from gapwright.base.units import Amperes, Joules, Metres, Number, Volts
from gapwright.facts.liquids import Liquid, liquid
from gapwright.facts.materials import Material, material
from gapwright.facts.priors import prior
from gapwright.gap.burning import Medium, burning_voltage
from gapwright.gap.contact import largest_inductance
from gapwright.rig.generator import gives_pulses
from gapwright.rig.job import Job, wanted_depth
from gapwright.rig.priors import chosen_prior
from gapwright.rig.rig import Rig
from gapwright.rig.setup import bore_diameter, is_dry
from gapwright.study.grounds.uncertain import REMOVAL, Member
from gapwright.thermal._kernel import RemovalConstants, removal_per_energy

HAZARD_HEADROOM = "ignition-headroom"
OVER_TRAVEL = 2.0
"""Diameters that the worn tip goes beyond the far face, so that its full width follows; from memory."""
ROOM = 0.5e-3
"""Room beyond the far face that a forecast assumes where the job states none [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bench:
    """Rig and job with their facts looked up: what every part of a forecast starts from."""

    rig: Rig
    job: Job
    electrode: Material
    workpiece: Material
    liquid: Liquid
    dry: bool
    burning: Volts
    hold_current: Amperes
    ceiling: Volts
    """Highest voltage that an open gap sees, leakage left out."""


def store_ceiling(made: Bench) -> Volts:
    """Highest voltage on the store: that of the open gap, or the supply's where pulses come from it [V]."""
    return made.rig.supply.voltage if gives_pulses(made.rig.generator) else made.ceiling


def medium_of(name: Liquid) -> Medium:
    """Medium in which the discharge burns."""
    match name.kind:
        case "water":
            return Medium.WATER
        case "hydrocarbon":
            return Medium.HYDROCARBON
        case _:
            return Medium.AIR


def bench(rig: Rig, job: Job) -> Bench:
    """Look up the facts behind a rig and a job, and refuse what cannot work together.

    Raises
    ------
    InputRefused
        If the electrode does not fit the hole, or no voltage in the rig can strike a spark.
    """
    electrode, workpiece = material(rig.setup.electrode.material), material(job.workpiece.material)
    fluid = liquid(rig.setup.liquid.name)
    least_arc = min(electrode.minimum_arc_voltage.value, workpiece.minimum_arc_voltage.value)
    made = Bench(
        rig=rig,
        job=job,
        electrode=electrode,
        workpiece=workpiece,
        liquid=fluid,
        dry=is_dry(rig.setup.liquid),
        burning=burning_voltage(
            medium_of(fluid), least_arc_voltage=least_arc, is_tungsten=electrode.key.startswith("tungsten")
        ),
        hold_current=min(electrode.minimum_arc_current.value, workpiece.minimum_arc_current.value),
        ceiling=rig.open_voltage,
    )
    _refuse_misfits(made)
    return made


def _refuse_misfits(made: Bench) -> None:
    """Refuse rigs and jobs that cannot work together whatever the constants."""
    swept = swept_diameter(made.rig)
    wanted = made.job.hole
    widest = wanted.diameter + wanted.tolerance
    if swept >= widest:
        raise InputRefused(
            f"setup.electrode.diameter with run-out must be below the widest hole allowed "
            f"({printed_quantity(widest, 'm')}), got {printed_quantity(swept, 'm')} swept; "
            f"take a thinner electrode, true the spindle, or ask for a wider hole"
        )
    headroom = 1.0 if made.dry else usual(made, HAZARD_HEADROOM)
    if made.ceiling <= made.burning + headroom:
        raise InputRefused(
            f"the peak open-gap voltage must be above the spark's burning voltage by {headroom:g} V "
            f"({printed_quantity(made.burning + headroom, 'V')} in {made.liquid.title}), got "
            f"{printed_quantity(made.ceiling, 'V')}; raise supply.voltage or generator.voltage_limit"
        )
    free, deep = made.rig.setup.electrode.free_length, wanted_depth(made.job)
    if free <= deep:
        raise InputRefused(
            f"setup.electrode.free_length must be above the hole's depth ({printed_quantity(deep, 'm')}), "
            f"got {printed_quantity(free, 'm')}; let more of the electrode stand out of its holder"
        )
    cut = made.job.between_holes.dress_length
    if cut is not None and cut >= free - deep:
        raise InputRefused(
            f"between_holes.dress_length must be below what stands free beyond the hole's depth "
            f"({printed_quantity(free - deep, 'm')}), got {printed_quantity(cut, 'm')}; cut less each time"
        )


def swing(rig: Rig) -> Metres:
    """How much wider than itself a turning electrode sweeps: total run-out and twice the orbit [m].

    One that stands still sweeps nothing: run-out then only sets it aside.
    """
    spindle = rig.setup.spindle
    return (spindle.run_out if spindle.speed > 0.0 else 0.0) + 2.0 * spindle.orbit


def swept_diameter(rig: Rig) -> Metres:
    """Diameter that the electrode sweeps [m]."""
    return rig.setup.electrode.diameter + swing(rig)


def swept_bore(rig: Rig) -> Metres:
    """Diameter inside a turning tube that its metal never reaches, 0 for a rod [m]."""
    return max(0.0, bore_diameter(rig.setup.electrode) - swing(rig))


def over_travel(made: Bench) -> Metres:
    """How far the tip may go beyond the far face: its point and two diameters, or the room there is [m]."""
    below = made.job.room_below if made.job.room_below > 0.0 else ROOM
    electrode = made.rig.setup.electrode
    return min(below, OVER_TRAVEL * electrode.diameter + electrode.point_length)


def absorbed_share(made: Bench, member: Member, law: RemovalConstants, energy: Joules) -> Number:
    """Share of the gap's energy that enters the workpiece: at least what the removal needs."""
    if made.dry:
        return member.value["absorbed-share"]
    base = chosen_prior(made.rig.priors, prior("absorbed-share"))
    need = removal_per_energy(member.chance[REMOVAL], energy, law) / usual(made, "conduction-ceiling")
    top = base.ceiling or 0.4
    return replace(base, floor=min(need, 0.99 * top), ceiling=top).quantile(member.chance["absorbed-share"])


def usual(made: Bench, name: str, member: Member | None = None) -> float:
    """Value of a constant: the member's if it spreads, else the rig file's, else the table's median [SI]."""
    if member is not None and name in member.value:
        return member.value[name]
    return chosen_prior(made.rig.priors, prior(name)).median


def removal_law(made: Bench) -> RemovalConstants:
    """The one law of removal in liquid, from its priors."""
    return RemovalConstants(
        median=usual(made, "removal-per-energy"),
        largest=usual(made, "removal-ceiling"),
        small_energy=usual(made, "removal-band-energy-small"),
        large_energy=usual(made, "removal-band-energy-large"),
        small_band=usual(made, "removal-band-small"),
        large_band=usual(made, "removal-band-large"),
        width_scale=usual(made, "crater-width-coefficient"),
        width_exponent=usual(made, "crater-width-exponent"),
    )


def make_arc_possible(made: Bench) -> bool:
    """Whether the discharge loop lets an arc form between closing contacts."""
    most = largest_inductance(
        made.ceiling,
        arc_voltage=made.burning,
        least_arc_current=made.hold_current,
        allowed_time=usual(made, "make-arc-time"),
    )
    return made.rig.leads.inductance <= most
