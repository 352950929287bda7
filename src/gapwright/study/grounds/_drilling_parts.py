"""Constants of one member's drilling, subject by subject. All numbers in SI units."""

from typing import NamedTuple


class Remember(NamedTuple):
    """What a gap remembers of its last spark."""

    gain: float  # times likelier at the very place
    reach: float  # radii of the crater
    base: float  # s, time constant after the shortest spark
    slope: float  # growth of it with the spark's duration


class Control(NamedTuple):
    """Law that moves the electrode; speeds are hastened in time-lapse."""

    senses: int
    law: int
    set_share: float
    gain: float  # m/s per whole share
    half_band: float  # share
    feed_speed: float  # m/s, of the law with hysteresis
    back_speed: float  # m/s, of the law with hysteresis
    short_volts: float  # V, mean below which the controller retreats
    resume_volts: float  # V, mean above which it goes on
    retract_speed: float  # m/s
    short_lift: float  # m, least way back because of a short
    lift_every: float  # s, 0 for never
    lift_height: float  # m
    lift_speed: float  # m/s


class Flow(NamedTuple):
    """How debris leaves the gap."""

    through: float  # 1 if liquid is pressed through the bore
    pressure: float  # Pa
    bore_resistance: float  # Pa s/m³
    viscosity: float  # Pa s
    bore: float  # m, radius inside which the liquid comes down
    reference: float  # m³/s, flow at which `life` holds
    life: float  # s, at the surface
    still_life: float  # s, at the surface without any flow
    depth: float  # m, depth at which the life without flow through the bore doubles


class Heat(NamedTuple):
    """How warm the gap gets."""

    ambient: float  # K
    flow_capacity: float  # J/(K m³) of the liquid
    liquid_conductivity: float  # W/(m K)
    boiling: float  # K
    to_liquid: float  # share of a discharge that goes into the liquid
    to_work: float  # share that goes into the workpiece
    plate: float  # K/W per unit of ln(outer/inner radius)
    outer: float  # m, radius at which the workpiece stays cold
    diffusivity: float  # m²/s of the workpiece


class Parting(NamedTuple):
    """The arc that parting contacts draw on a dry rig."""

    energy: float  # J, 0 where none forms
    drawn: float  # J that the source gives for it
    arc: int  # heading of the discharge
    source: int  # heading of what comes in
    rest: int  # heading of what is lost on the way
