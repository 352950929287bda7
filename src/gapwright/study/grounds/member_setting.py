"""One member's constants as the drilling's kernels take them."""

from math import inf, pi, sqrt

from gapwright.base.units import Joules, Number, Seconds
from gapwright.circuit.map.charge_map import ChargeMap
from gapwright.gap.breakdown import air_constants
from gapwright.gap.breaking import break_energy, safe_voltage_rise
from gapwright.gap.contact import ARC_MARGIN
from gapwright.gap.delay import smallest_gap
from gapwright.gap.mixture import TwoWeibull
from gapwright.motion._kernel import AxisConstants
from gapwright.rig.generator import farads_at_gap, gives_pulses, prompt_ignition, short_circuit_current
from gapwright.rig.job import wanted_depth
from gapwright.rig.priors import WEAR_RATIO
from gapwright.rig.rig import loop_resistance
from gapwright.rig.setup import bore_diameter, flushing_pressure, flute_share
from gapwright.study.grounds import _drilling_state as state
from gapwright.study.grounds._drilling_parts import Control, Flow, Heat, Parting, Remember
from gapwright.study.grounds._drilling_state import Setting
from gapwright.study.grounds.assemble import (
    HAZARD_HEADROOM,
    Bench,
    absorbed_share,
    make_arc_possible,
    over_travel,
    removal_law,
    swept_bore,
    swept_diameter,
    usual,
)
from gapwright.study.grounds.ledger import DISCHARGE
from gapwright.study.grounds.uncertain import REMOVAL, Member, field_name

LONGEST_DRILLING = 4.0 * 3600.0
"""Time limit of a forecast where the job states none [s]."""
PATIENCE, PATIENCE_DRY = 240.0, 3600.0
"""Time without a micrometre of progress after which a drilling is given up [s].

Longer than the front of a slow drilling that still gets through waits for its next crater.
"""
COUNTED = ("off", "cycle")
"""Chart of a step-up generator's map that begins when the switch opens: one a cycle of the coil."""
ON_THE_WAY = ("charging resistor", "coil")
"""Headings that take what a parting arc's current loses on its way from the supply."""
FACE_COOLING = {"water": "face-cooling-water", "hydrocarbon": "face-cooling-oil", "gas": "face-cooling-air"}


def _haste(made: Bench, batch: int) -> int:
    """How much faster axis and controller run against the generator's clock in time-lapse.

    In liquid wear sets the pace, so they keep step with it. By contact each
    spark waits for the axis itself, and wear is slow against it: they stay.
    """
    return 1 if made.dry else batch


def _smear(made: Bench) -> Number:
    """Area that the electrode sweeps over the area of its metal: run-out and orbit spread wear over more."""
    electrode = made.rig.setup.electrode
    own = electrode.diameter**2 * (1.0 - flute_share(electrode)) - bore_diameter(electrode) ** 2
    return (swept_diameter(made.rig) ** 2 - swept_bore(made.rig) ** 2) / own


def axis_constants(made: Bench, haste: int) -> AxisConstants:
    """The axis, as fast against wear or sparks as it is when every spark is simulated."""
    axis, control = made.rig.axis, made.rig.controller
    back = max(control.retract_speed, control.back_speed, _lift_speed(made))
    return AxisConstants(
        resolution=axis.resolution,
        backlash=axis.backlash,
        feed_limit=axis.max_speed * haste,
        retract_limit=min(back, axis.max_speed) * haste,
        acceleration=axis.acceleration * haste**2,
        lag=axis.lag / haste,
        tick=control.sample_time,
        stiction=axis.stiction,
    )


def _lift_speed(made: Bench) -> float:
    """Speed of a periodic lift, 0 where there is none [m/s]."""
    control, axis = made.rig.controller, made.rig.axis
    if control.lift_interval is None:
        return 0.0
    return min(control.lift_speed or axis.max_speed, axis.max_speed)


def control_law(made: Bench, *, haste: int, batch: int) -> Control:
    """The controller's law, as fast as the axis."""
    control, axis = made.rig.controller, made.rig.axis
    return Control(
        senses=state.SENSES.index(control.senses),
        law=state.LAWS.index(control.law),
        set_share=control.set_point,
        gain=control.gain * haste,
        half_band=control.half_band,
        feed_speed=control.feed_speed * haste,
        back_speed=control.back_speed * haste,
        short_volts=control.short_threshold,
        resume_volts=control.resume_threshold or control.short_threshold,
        retract_speed=min(control.retract_speed, axis.max_speed) * haste,
        short_lift=control.short_lift,
        lift_every=(control.lift_interval or 0.0) * batch / haste,
        lift_height=control.lift_height,
        lift_speed=_lift_speed(made) * haste,
    )


def flow(made: Bench, member: Member) -> Flow:
    """How debris leaves the gap of this rig."""
    setup = made.rig.setup
    electrode, through = setup.electrode, setup.flushing.kind == "through-tube"
    viscosity = made.liquid.viscosity.value
    bore = bore_diameter(electrode)
    clear = 1.0 - flute_share(electrode)
    still = member.value.get("flushing-time-still", usual(made, "flushing-time-still", member))
    life = member.value.get("flushing-time", still)
    return Flow(
        through=1.0 if through else 0.0,
        pressure=flushing_pressure(setup.flushing),
        bore_resistance=128.0 * viscosity * electrode.length / (pi * bore**4) if through else inf,
        viscosity=viscosity,
        bore=0.5 * bore,
        reference=usual(made, "flushing-reference") * pi * electrode.diameter,
        life=life * clear,
        still_life=still * clear,
        depth=usual(made, "flushing-depth") * electrode.diameter,
    )


def heat(made: Bench, *, absorbed: Number, electrode_share: Number) -> Heat:
    """What warms gap and workpiece, and what cools them."""
    work, fluid, thickness = made.workpiece, made.liquid, made.job.workpiece.thickness
    conductivity = work.thermal_conductivity.value
    radius = 0.5 * swept_diameter(made.rig)
    cooling = usual(made, FACE_COOLING[fluid.kind])
    fin = sqrt(0.5 * conductivity * thickness / cooling)
    return Heat(
        ambient=made.rig.setup.liquid.temperature,
        flow_capacity=fluid.density.value * fluid.specific_heat.value,
        liquid_conductivity=fluid.thermal_conductivity.value,
        boiling=fluid.fact("boiling_point").value if fluid.knows("boiling_point") else inf,
        to_liquid=max(0.0, 1.0 - absorbed - electrode_share),
        to_work=absorbed,
        plate=1.0 / (2.0 * pi * conductivity * thickness),
        outer=radius + min(fin, usual(made, "cooled-radius")),
        diffusivity=conductivity / (work.density.value * work.specific_heat.value),
    )


def parting(made: Bench, member: Member, charge: ChargeMap) -> Parting:
    """The arc that parting contacts draw; none in liquid, or where the store holds the voltage down."""
    accounts = [meter.account for meter in charge.meters]
    arc = accounts.index(DISCHARGE)
    source = next(k for k, meter in enumerate(charge.meters) if meter.role == "in")
    current = short_circuit_current(made.rig.generator, made.rig.supply)
    farads = farads_at_gap(made.rig.generator)
    rise = current / farads if farads > 0.0 else inf
    safe = safe_voltage_rise(made.rig.controller.retract_speed, field=usual(made, "contact-field", member))
    arcs = made.ceiling > made.burning + ARC_MARGIN and current > made.hold_current and rise > safe
    if not made.dry or not arcs:
        return Parting(energy=0.0, drawn=0.0, arc=arc, source=source, rest=arc)
    energy = break_energy(
        current,
        inductance=made.rig.leads.inductance,
        voltage=made.ceiling,
        arc_voltage=made.burning,
        coefficient=usual(made, "break-energy"),
    )
    rest = next((accounts.index(name) for name in ON_THE_WAY if name in accounts), arc)
    drawn = energy * (made.ceiling / made.burning if rest != arc else 1.0)
    return Parting(energy=energy, drawn=drawn, arc=arc, source=source, rest=rest)


def _two_weibull(made: Bench) -> TwoWeibull:
    return TwoWeibull(
        critical_gap=usual(made, "weibull-critical-gap"),
        steepness=usual(made, "weibull-steepness"),
        prompt_shape=usual(made, "weibull-prompt-shape"),
        prompt_mean=usual(made, "weibull-prompt-mean"),
        late_shape=usual(made, "weibull-late-shape"),
        late_mean=usual(made, "weibull-late-mean"),
    )


def _bridge_burn(made: Bench) -> float:
    """Time of short in which a bridge takes the charge of the discharges that burn one away [s]."""
    generator = made.rig.generator
    if gives_pulses(generator):
        return usual(made, "bridge-sparks") * (generator.burning_time + generator.pause)
    current = short_circuit_current(generator, made.rig.supply)
    filling = generator.capacitor.capacitance * made.ceiling / current
    return usual(made, "bridge-sparks") * filling


def usable_length(made: Bench) -> float:
    """Length of electrode that one hole may use up: what stands free, or less if the job says so [m]."""
    free = made.rig.setup.electrode.free_length - wanted_depth(made.job)
    limit = made.job.limits.electrode_length
    return free if limit is None else min(limit, free)


def patience_of(made: Bench) -> Seconds:
    """Time without a micrometre of progress after which a drilling of this rig is given up."""
    return PATIENCE_DRY if made.dry else PATIENCE


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
    absorbed = absorbed_share(made, member, law, spark_energy)
    return Setting(
        thickness=job.workpiece.thickness,
        target=wanted_depth(job),
        through=1.0 if job.hole.through else 0.0,
        over_travel=over_travel(made),
        swept=0.5 * swept_diameter(rig),
        spacing=min(max(0.3 * width, 5e-6), 0.2 * wall, 40e-6),
        length=usable_length(made) + job.workpiece.thickness,
        time_limit=job.limits.time or LONGEST_DRILLING,
        open_ended=0.0 if job.limits.time else 1.0,
        patience=patience_of(made),
        batch=batch,
        tick=rig.controller.sample_time,
        filter=rig.controller.filter_time / haste,
        open_volts=made.ceiling,
        control=control_law(made, haste=haste, batch=batch),
        axis=axis_constants(made, haste),
        prompt=prompt_ignition(made.rig.generator),
        counted_chart=next((k for k, name in enumerate(charge.charts) if name in COUNTED), -1),
        liquid=0.0 if made.dry else 1.0,
        exponent=exponent,
        hazard_scale=1.0 / (reference * field**exponent),
        hazard_floor=made.burning + usual(made, HAZARD_HEADROOM),
        smallest_gap=smallest_gap(rig.axis.resolution, rough=usual(made, "smallest-gap")),
        conductivity=rig.setup.liquid.conductivity or 0.0,
        mixture=_two_weibull(made).constants(on=rig.setup.liquid.delays == "two-weibull"),
        remember=Remember(
            gain=0.0 if made.dry else usual(made, "memory-gain", member),
            reach=usual(made, "memory-radius", member),
            base=usual(made, "deionisation-base", member),
            slope=usual(made, "deionisation-slope", member),
        ),
        strike_field=usual(made, "contact-field", member),
        air=air_constants(plateau=usual(made, "plateau-voltage")),
        strike_volts=made.burning + ARC_MARGIN,
        arc_makes=1.0 if make_arc_possible(made) else 0.0,
        neck_constant=made.electrode.neck_action.value,
        asperity_radius=usual(made, "asperity-radius", member),
        bridge_length=usual(made, "bridge-length", member),
        loop_ohms=loop_resistance(rig),
        capacitance=farads_at_gap(rig.generator),
        parting=parting(made, member, charge),
        debris_scale=usual(made, "debris-reference"),
        debris_cap=usual(made, "debris-cap"),
        flow=flow(made, member),
        heat=heat(made, absorbed=absorbed, electrode_share=absorbed * value["electrode-absorption-ratio"]),
        bridging=usual(made, "bridge-rate", member),
        bridge_retract=usual(made, "bridge-retract", member),
        bridge_burn=_bridge_burn(made),
        particle=usual(made, "debris-diameter"),
        law=law,
        removal_chance=member.chance[REMOVAL],
        contact_removal=value.get("removal-per-energy-dry", 0.0) * value.get("dry-redeposition", 0.0),
        factors=value["polarity-factor"] * value["hole-scatter"] / value.get("unflushed-time-factor", 1.0),
        effect_share=value.get("effective-share", 1.0),
        scatter=usual(made, "crater-volume-scatter"),
        wear_ratio=value[WEAR_RATIO],
        smear=_smear(made),
        width_factor=value["crater-width-coefficient"] / law.width_scale,
        absorbed=absorbed,
        burning=made.burning,
    )
