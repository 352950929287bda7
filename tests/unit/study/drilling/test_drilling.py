"""Whole drillings: what they keep, what they repeat, and what time-lapse does to them."""

import numpy as np
import pytest

from gapwright.facts.heat_content import floor_enthalpy_per_volume
from gapwright.hole.shape import hole_volume
from gapwright.study.drilling.one_member import Task, run_member, typical_spark_energy
from gapwright.study.grounds import _drilling_state as state
from gapwright.study.grounds.ledger import ledger
from gapwright.study.grounds.outcome import Role
from gapwright.study.grounds.uncertain import median_member, uncertain_constants
from tests.unit.study.drilled import charge, drilled, made, setting_of

THIN = 0.3e-3
SEEDS = (1, 2, 3)


def test_the_first_build_gets_through_and_its_joules_close() -> None:
    result = drilled("first-build", thickness=THIN, batch=1, seed=1)
    assert result.course.ended == "through"
    account = ledger(made("first-build", THIN), result.metered)
    assert abs(account.balance_error) < 1e-9
    given = sum(line.energy_j for line in account.accounts if line.role is Role.IN)
    spent = sum(line.energy_j for line in account.accounts if line.role in (Role.OUT, Role.STORED))
    assert spent == pytest.approx(given, rel=1e-9)


@pytest.mark.source("computed", "hand figures of the first build: charger of 122 µs, mean gap voltage 42 V")
def test_the_first_build_meets_its_hand_figures() -> None:
    result = drilled("first-build", thickness=THIN, batch=1, seed=1)
    assert result.figure["spark_energy"] == pytest.approx(1e-3, rel=0.25)
    assert result.figure["spark_rate"] == pytest.approx(3600.0, rel=0.25)
    trace = result.course.trace
    inside = (trace[:, 1] > 0.1 * THIN) & (trace[:, 1] < 0.9 * THIN)
    assert trace[inside, 2].mean() == pytest.approx(42.0, rel=0.1)


def test_energy_of_the_store_and_the_supply_agree_with_charge() -> None:
    """Every coulomb of a relaxation rig passes the supply at its voltage: mean current times voltage."""
    result = drilled("first-build", thickness=THIN, batch=1, seed=1)
    total = result.metered.sparking + result.metered.shorted
    drawn = sum(e for m, e in zip(result.metered.meters, total, strict=True) if m.role == "in")
    ohms = made("first-build").rig.generator.resistor.resistance
    mean = result.figure["mean_volts"]
    current = (70.0 - mean) / ohms
    assert drawn / result.course.time / 70.0 == pytest.approx(current, rel=0.02)


def test_time_lapse_changes_a_drilling_by_no_more_than_its_luck() -> None:
    one = np.array([drilled("first-build", thickness=THIN, batch=1, seed=s).figure["time"] for s in SEEDS])
    eight = np.array([drilled("first-build", thickness=THIN, batch=8, seed=s).figure["time"] for s in SEEDS])
    luck = np.hypot(one.std(ddof=1), eight.std(ddof=1)) / np.sqrt(len(SEEDS))
    assert abs(eight.mean() - one.mean()) < 3.0 * luck + 0.02 * one.mean()
    for name in ("entry", "spark_energy", "wear_ratio"):
        a = np.mean([drilled("first-build", thickness=THIN, batch=1, seed=s).figure[name] for s in SEEDS])
        b = np.mean([drilled("first-build", thickness=THIN, batch=8, seed=s).figure[name] for s in SEEDS])
        assert b == pytest.approx(a, rel=0.04), name


def test_the_same_seed_gives_the_same_bytes() -> None:
    a = drilled("first-build", thickness=THIN, batch=8, seed=1)
    drilled.cache_clear()
    b = drilled("first-build", thickness=THIN, batch=8, seed=1)
    assert a.course.numbers.tobytes() == b.course.numbers.tobytes()
    assert a.course.log.tobytes() == b.course.log.tobytes()
    assert a.course.energy.tobytes() == b.course.energy.tobytes()


def test_another_seed_gives_another_drilling() -> None:
    a = drilled("first-build", thickness=THIN, batch=8, seed=1)
    b = drilled("first-build", thickness=THIN, batch=8, seed=2)
    assert a.course.log.tobytes() != b.course.log.tobytes()


def test_volume_booked_is_volume_gone() -> None:
    result = drilled("first-build", thickness=THIN, batch=1, seed=1)
    num = result.course.numbers
    gone = float(num[state.REMOVED] - num[state.BEYOND] + num[state.BROKEN])
    assert hole_volume(*result.course.work) == pytest.approx(gone, rel=1e-9)
    smear = setting_of("first-build", THIN).smear
    radii, heights = result.course.tool
    assert hole_volume(radii, heights) == pytest.approx(smear * float(num[state.WORN]), rel=1e-9)


def test_the_removed_metal_holds_less_heat_than_the_workpiece_took() -> None:
    result = drilled("first-build", thickness=THIN, batch=1, seed=1)
    account = ledger(made("first-build", THIN), result.metered)
    lines = {line.account: line for line in account.accounts}
    floor = floor_enthalpy_per_volume(made("first-build").workpiece).value
    molten = lines["melting the removed metal"]
    assert molten.role is Role.OF_WHICH
    assert molten.energy_j == pytest.approx(floor * result.metered.removed, rel=1e-12)
    assert molten.energy_j < lines["workpiece"].energy_j


def test_most_of_what_the_electrode_loses_is_length() -> None:
    result = drilled("first-build", thickness=THIN, batch=1, seed=1)
    metal = np.pi / 4.0 * (0.5e-3**2 - 0.2e-3**2)
    lost = result.figure["wear_ratio"] * result.metered.removed
    assert 0.6 < result.course.worn * metal / lost < 1.15


def test_the_second_build_stores_before_it_sparks() -> None:
    result = drilled("second-build", thickness=THIN, batch=8, seed=1)
    assert result.course.ended == "through"
    account = ledger(made("second-build", THIN), result.metered)
    assert abs(account.balance_error) < 1e-9
    lines = {(line.stage, line.account): line.energy_j for line in account.accounts}
    read = list(zip(result.metered.meters, result.metered.sparking, strict=True))
    burnt = sum(e for m, e in read if m.account == "discharge")
    drawn = sum(e for m, e in read if m.role == "in")
    assert burnt / drawn > 0.8
    assert lines[("charger", "diode")] > lines[("charger", "transistor")]


def test_the_dry_start_sparks_by_contact_only() -> None:
    result = drilled("dry-start", thickness=0.02e-3, batch=64, seed=1)
    counted = dict(zip(state.CLASSES, result.course.class_count, strict=True))
    assert counted["contact"] > 0
    assert counted["normal"] == counted["partial"] == 0
    assert result.figure["spark_energy"] < 0.5 * 22e-6 * 48.0**2


def test_asking_to_stop_stops() -> None:
    bench = made("first-build", THIN)
    task = Task(
        made=bench, charge=charge("first-build"), seed=1, batch=1, shown=True, progress=lambda *_: False,
        member=median_member(uncertain_constants(bench.rig, bench.job)),
        spark_energy=typical_spark_energy(charge("first-build"), bench),
    )  # fmt: skip
    assert run_member(task) is None
