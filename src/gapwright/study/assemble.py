"""Rig and job records into the arguments of the families: the drilling's setting for one member."""

from dataclasses import dataclass, replace

from gapwright.base.errors import InputRefused
from gapwright.base.quantity import printed_quantity
from gapwright.base.units import Amperes, Joules, Metres, Number, Volts
from gapwright.circuit.charge_map import ChargeMap
from gapwright.facts.liquids import Liquid, liquid
from gapwright.facts.materials import Material, material
from gapwright.facts.priors import prior
from gapwright.gap.burning import Medium, burning_voltage
from gapwright.gap.contact import largest_inductance
from gapwright.gap.delay import smallest_gap
from gapwright.motion._kernel import AxisConstants
from gapwright.rig.job import Job, wanted_depth
from gapwright.rig.priors import WEAR_RATIO, chosen_prior
from gapwright.rig.rig import Rig, loop_resistance
from gapwright.rig.setup import bore_diameter, is_dry
from gapwright.study._drilling_state import Setting
from gapwright.study.uncertain import REMOVAL, Member, field_name
from gapwright.thermal._kernel import RemovalConstants, removal_per_energy

LONGEST_DRILLING = 4.0 * 3600.0
"""Time limit of a forecast where the job states none [s]."""
PATIENCE, PATIENCE_DRY = 30.0, 180.0
"""Time without a micrometre of progress after which a drilling is given up [s]."""
SWITCH_OPENING = "off"
"""Chart of a step-up generator's map that begins when the switch opens: one a cycle of the coil."""
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


def swept_diameter(rig: Rig) -> Metres:
    """Diameter that the turning electrode sweeps: its own and the total run-out [m]."""
    return rig.setup.electrode.diameter + rig.setup.spindle.run_out


def swept_bore(rig: Rig) -> Metres:
    """Diameter inside a turning tube that its metal never reaches, 0 for a rod [m]."""
    return max(0.0, bore_diameter(rig.setup.electrode) - rig.setup.spindle.run_out)


def _smear(rig: Rig) -> Number:
    """Area that the turning electrode sweeps over the area of its metal: run-out spreads wear over more."""
    own = rig.setup.electrode.diameter**2 - bore_diameter(rig.setup.electrode) ** 2
    return (swept_diameter(rig) ** 2 - swept_bore(rig) ** 2) / own


def over_travel(made: Bench) -> Metres:
    """How far the worn tip may go beyond the far face: two diameters, or the room there is [m]."""
    below = made.job.room_below if made.job.room_below > 0.0 else ROOM
    return min(below, OVER_TRAVEL * made.rig.setup.electrode.diameter)


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


def _haste(made: Bench, batch: int) -> int:
    """How much faster axis and controller run against the generator's clock in time-lapse.

    In liquid wear sets the pace, so they keep step with it. By contact each
    spark waits for the axis itself, and wear is slow against it: they stay.
    """
    return 1 if made.dry else batch


def _axis(made: Bench, batch: int) -> AxisConstants:
    """The axis, as fast against wear or sparks as it is when every spark is simulated."""
    axis = made.rig.axis
    return AxisConstants(
        resolution=axis.resolution,
        backlash=axis.backlash,
        feed_limit=axis.max_speed * batch,
        retract_limit=min(made.rig.controller.retract_speed, axis.max_speed) * batch,
        acceleration=axis.acceleration * batch**2,
        lag=axis.lag / batch,
        tick=made.rig.controller.sample_time,
    )


def _debris_life(member: Member) -> float:
    """Time in which the gap at the surface loses its debris [s]."""
    return member.value.get("flushing-time", member.value.get("flushing-time-still", 1.0))


def setting(made: Bench, member: Member, charge: ChargeMap, *, spark_energy: Joules, batch: int) -> Setting:
    """Constants of one member's drilling.

    Where each simulated spark stands for `batch`, wear runs that much faster
    against the clock of the generator, and so do axis and controller: a drilling
    in time-lapse, in which every ratio that shapes the hole stays as it is.

    Parameters
    ----------
    made, member, charge
        Rig and job with their facts; a draw of the uncertain constants; the generator's map.
    spark_energy
        A typical spark's, for spacing and absorbed share. [J]
    batch
        Sparks that each simulated one stands for.
    """
    rig, job, value = made.rig, made.job, member.value
    law, haste = removal_law(made), _haste(made, batch)
    exponent = usual(made, "ignition-exponent", member)
    field = usual(made, field_name(rig), member)
    reference = usual(made, "ignition-time", member) * usual(made, "ignition-area")
    width = law.width_scale * spark_energy**law.width_exponent
    wall = 0.5 * (swept_diameter(rig) - swept_bore(rig))
    usable = job.limits.electrode_length or (rig.setup.electrode.free_length - job.workpiece.thickness)
    return Setting(
        thickness=job.workpiece.thickness,
        target=wanted_depth(job),
        through=1.0 if job.hole.through else 0.0,
        over_travel=over_travel(made),
        swept=0.5 * swept_diameter(rig),
        spacing=min(max(0.3 * width, 5e-6), 0.2 * wall, 40e-6),
        length=usable + job.workpiece.thickness,
        time_limit=job.limits.time or LONGEST_DRILLING,
        patience=PATIENCE_DRY if made.dry else PATIENCE,
        batch=batch,
        tick=rig.controller.sample_time,
        filter=rig.controller.filter_time / haste,
        set_volts=rig.controller.set_point * made.ceiling,
        open_volts=made.ceiling,
        short_volts=rig.controller.short_threshold,
        gain=rig.controller.gain * haste,
        axis=_axis(made, haste),
        counted_chart=charge.charts.index(SWITCH_OPENING) if SWITCH_OPENING in charge.charts else -1,
        liquid=0.0 if made.dry else 1.0,
        exponent=exponent,
        hazard_scale=1.0 / (reference * field**exponent),
        hazard_floor=made.burning + usual(made, HAZARD_HEADROOM),
        smallest_gap=smallest_gap(rig.axis.resolution, rough=usual(made, "smallest-gap")),
        conductivity=rig.setup.liquid.conductivity or 0.0,
        strike_field=usual(made, "contact-field", member),
        strike_volts=made.burning + 1.0,
        arc_makes=1.0 if make_arc_possible(made) else 0.0,
        neck_constant=made.electrode.neck_action.value,
        asperity_radius=usual(made, "asperity-radius", member),
        bridge_length=usual(made, "bridge-length", member),
        loop_ohms=loop_resistance(rig),
        capacitance=rig.generator.capacitor.capacitance,
        debris_scale=usual(made, "debris-reference"),
        debris_cap=usual(made, "debris-cap"),
        debris_life=_debris_life(member),
        debris_depth=usual(made, "flushing-depth") * rig.setup.electrode.diameter,
        bridging=usual(made, "bridge-rate", member),
        particle=usual(made, "debris-diameter"),
        law=law,
        removal_chance=member.chance[REMOVAL],
        contact_removal=value.get("removal-per-energy-dry", 0.0) * value.get("dry-redeposition", 0.0),
        factors=value["polarity-factor"] * value["hole-scatter"] / value.get("unflushed-time-factor", 1.0),
        effect_share=value.get("effective-share", 1.0),
        scatter=usual(made, "crater-volume-scatter"),
        wear_ratio=value[WEAR_RATIO],
        smear=_smear(rig),
        width_factor=value["crater-width-coefficient"] / law.width_scale,
        absorbed=absorbed_share(made, member, law, spark_energy),
        burning=made.burning,
    )
