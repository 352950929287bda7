"""One member of a forecast: its drilling, and the numbers that the bands are made of."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import atan, inf, isnan, nan

from gapwright.base.errors import GapwrightError
from gapwright.base.progress import Progress, silent
from gapwright.base.units import Joules
from gapwright.circuit.map.charge_map import ChargeMap
from gapwright.facts.finish import vdi_3400_class
from gapwright.hole.shape import Chain
from gapwright.study.drilling.drilling import Course, Luck, Tip, Watch, course
from gapwright.study.drilling.records_kept import Wanted
from gapwright.study.grounds import _drilling_state as state
from gapwright.study.grounds.assemble import Bench, swept_bore, usual
from gapwright.study.grounds.ledger import DISCHARGE, Metered, drawn_from_supply
from gapwright.study.grounds.member_setting import setting
from gapwright.study.grounds.uncertain import Member
from gapwright.thermal.finish import recast_depth, roughness

COARSE, FINE = 8, 1
"""Sparks that one simulated spark stands for: at most in members that give the bands; in the one shown."""
COARSE_DRY, FINE_DRY = 64, 16
"""The same for rigs that spark by contact, where thousands of control ticks pass for every micrometre."""

ENOUGH = 16
"""Members after which no more are drilled if none of them gets there."""

FRAMES = 48
"""Most shapes that the drilling shown keeps on its way, for playing it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """All that one member needs; independent of every other member."""

    made: Bench
    charge: ChargeMap
    member: Member
    seed: int
    batch: int
    shown: bool
    spark_energy: Joules
    progress: Progress = silent
    finer: float = 1.0
    """How many times as densely as usual the surfaces are described; for checks of convergence."""
    hole: int = 0
    """Place of the hole in a row of them: each has its own luck."""
    worn: Chain | None = None
    """Electrode that has drilled before, touched off again; a new one if None."""
    wanted: Wanted | None = None
    """What is to be kept of the drilling; whoever takes it is called in the process that drills."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MemberResult:
    """What became of one member; `figure` holds numbers by name, in SI units."""

    member: Member
    course: Course
    metered: Metered
    figure: Mapping[str, float]


def is_hopeless(results: Sequence[MemberResult]) -> bool:
    """Whether so many members are known, and none of them gets there, that the rest need not be drilled."""
    return len(results) >= ENOUGH and not any(each.course.gets_through for each in results)


def typical_spark_energy(charge: ChargeMap, made: Bench) -> Joules:
    """Gap energy of a spark that breaks down at 0.85 of the open voltage."""
    volts = charge.arrays.volts
    at = int(abs(volts - 0.85 * made.ceiling).argmin())
    return float(charge.arrays.spark_facts[0, 0, at, 0, 1])


def tip_of(made: Bench) -> Tip:
    """Form of this rig's new electrode, as it sweeps."""
    electrode = made.rig.setup.electrode
    return Tip(bore=0.5 * swept_bore(made.rig), point=electrode.point_length, edge=electrode.edge_radius)


def run_member(task: Task) -> MemberResult | None:
    """Drill with one member's constants; None if asked to stop."""
    what = "the drilling shown" if task.shown else "members"

    def go_on(share: float) -> bool:
        return task.progress(min(int(1000 * share), 999), 1000, what)

    constants = setting(task.made, task.member, task.charge, spark_energy=task.spark_energy, batch=task.batch)
    done = course(
        constants._replace(spacing=constants.spacing / task.finer),
        task.charge,
        tip=tip_of(task.made),
        luck=Luck(seed=task.seed, member=task.member.number + 1, hole=task.hole),
        watch=Watch(go_on=go_on, frames=FRAMES if task.shown else 0, wanted=task.wanted),
        worn=task.worn,
    )
    if done is None or not task.progress(1, 1, what):
        return None
    metered = Metered(
        duration=done.time,
        meters=task.charge.meters,
        sparking=done.energy[0],
        shorted=done.energy[1],
        stored=done.stored,
        removed=float(done.numbers[state.REMOVED]),
        absorbed=constants.absorbed,
        electrode_share=constants.absorbed * task.member.value["electrode-absorption-ratio"],
    )
    return MemberResult(
        member=task.member, course=done, metered=metered, figure=_figures(task, done, metered)
    )


def _figures(task: Task, done: Course, metered: Metered) -> dict[str, float]:
    """Numbers of one member that go into bands; NaN where the hole never got that far."""
    rig, value = task.made.rig, task.member.value
    num = done.numbers
    removed = metered.removed
    burnt = float(
        sum(e for m, e in zip(metered.meters, metered.sparking, strict=True) if m.account == DISCHARGE)
    )
    energy = burnt / done.sparks if done.sparks else nan
    drawn = drawn_from_supply(metered)
    entry = 2.0 * float(num[state.ENTRY]) or nan
    leaves = 2.0 * float(num[state.EXIT]) or nan
    found = {
        "time": done.time if done.gets_through else inf,
        "rate_of_removal": removed / done.time,
        "specific_energy": _socket_energy(task.made, drawn, done.time) / removed if removed > 0.0 else inf,
        "sparks": float(done.sparks) if done.gets_through else inf,
        "spark_rate": done.sparks / done.time,
        "spark_energy": energy,
        "entry": entry,
        "exit": leaves,
        "taper": atan(0.5 * (entry - leaves) / task.made.job.workpiece.thickness),
        "depth": done.depth,
        "overcut": 0.5 * (entry - rig.setup.electrode.diameter),
        "wear_length": done.worn if done.gets_through else inf,
        "wear_ratio": float(num[state.WORN]) / removed if removed > 0.0 else nan,
        "supply_current": drawn / rig.supply.voltage / done.time,
        "mean_volts": float(num[state.VOLT_TOTAL]) / done.time,
        "cycles": float(num[state.CYCLES]) * done.batch / done.time,
        "front_gap": float(num[state.GAP_MIN]),
    }
    return found | _finish(task.made, energy, value)


def _finish(made: Bench, energy: Joules, value: Mapping[str, float]) -> dict[str, float]:
    """Roughness, its class, recast layer, and the overcut that practice expects; nothing without a spark."""
    if isnan(energy):
        return {}
    rough = roughness(
        energy, coefficient=value["roughness-coefficient"], exponent=usual(made, "roughness-exponent")
    )
    recast = recast_depth(
        energy,
        coefficient=value["recast-coefficient"],
        exponent=usual(made, "recast-exponent"),
        thinnest=usual(made, "recast-floor"),
    )
    scale = (energy / usual(made, "overcut-reference-energy")) ** usual(made, "overcut-exponent")
    return {
        "ra": rough,
        "class": _class_of(rough),
        "recast": recast,
        "practice_overcut": value["overcut-per-side"] * scale,
    }


def _class_of(rough: float) -> float:
    """VDI 3400 class of a roughness, NaN where the scale has none."""
    try:
        return float(vdi_3400_class(rough))
    except GapwrightError:
        return nan


def _socket_energy(made: Bench, drawn: Joules, duration: float) -> Joules:
    """Everything from the socket over the drilling, auxiliaries included."""
    supply, aux = made.rig.supply, made.rig.auxiliaries
    beside = aux.spindle_power + aux.machine_power + aux.pump_power + aux.controller_power
    return drawn / supply.efficiency + (supply.idle_power + beside) * duration
