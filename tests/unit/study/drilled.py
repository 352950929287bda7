"""Drillings of the demonstration rigs, made once for all tests that look at them."""

from dataclasses import replace
from functools import cache

from gapwright.circuit.map.charge_map import ChargeMap
from gapwright.study.drilling.one_member import MemberResult, Task, run_member, typical_spark_energy
from gapwright.study.generator.network import charge_map_of
from gapwright.study.grounds._drilling_state import Setting
from gapwright.study.grounds.assemble import Bench
from gapwright.study.grounds.member_setting import setting
from gapwright.study.grounds.uncertain import median_member, uncertain_constants
from tests.unit.study.benches import demo


@cache
def made(name: str, thickness: float | None = None) -> Bench:
    """Rig and job of a demonstration, with another thickness if given."""
    bench = demo(name)
    if thickness is None:
        return bench
    work = bench.job.workpiece.model_copy(update={"thickness": thickness})
    return replace(bench, job=bench.job.model_copy(update={"workpiece": work}))


@cache
def charge(name: str) -> ChargeMap:
    """Charge map of a demonstration rig."""
    return charge_map_of(demo(name))


@cache
def drilled(name: str, *, thickness: float, batch: int, seed: int) -> MemberResult:
    """The median member's drilling of a plate of this thickness."""
    bench = made(name, thickness)
    result = run_member(
        Task(
            made=bench,
            charge=charge(name),
            member=median_member(uncertain_constants(bench.rig, bench.job)),
            seed=seed,
            batch=batch,
            shown=False,
            spark_energy=typical_spark_energy(charge(name), bench),
        )
    )
    assert result is not None
    return result


@cache
def setting_of(name: str, thickness: float | None = None, batch: int = 1) -> Setting:
    """Constants of the median member's drilling."""
    bench = made(name, thickness)
    member = median_member(uncertain_constants(bench.rig, bench.job))
    energy = typical_spark_energy(charge(name), bench)
    return setting(bench, member, charge(name), spark_energy=energy, batch=batch)
