"""Drillings with generators of every kind: accounts, trains of pulses, classes by delay, and words."""

from functools import cache
from pathlib import Path

import numpy as np
import pytest

from gapwright.base.errors import InputRefused
from gapwright.circuit.map._map_train_kernel import GATE, NOTHING, REST, RUN, rest, rest_left
from gapwright.circuit.map.charge_map import ChargeMap
from gapwright.rig.generator import prompt_ignition
from gapwright.rig.reading import job_from_text, rig_from_text
from gapwright.study.drilling._kernel_pulses import class_of_pulse
from gapwright.study.drilling.one_member import MemberResult, Task, run_member, typical_spark_energy
from gapwright.study.drilling.recorder import Asked, Recorder
from gapwright.study.forecast.drilling_remarks import drilling_remarks
from gapwright.study.forecast.verdict import limited_by
from gapwright.study.generator.network import charge_map_of
from gapwright.study.grounds import _drilling_state as state
from gapwright.study.grounds.assemble import Bench, bench, store_ceiling
from gapwright.study.grounds.ledger import LARGEST_BALANCE_ERROR, ledger
from gapwright.study.grounds.member_setting import setting
from gapwright.study.grounds.uncertain import median_member, uncertain_constants
from gapwright.wiring import demo_text
from tests.unit.study.benches import raised
from tests.unit.study.kernel_rooms import flags, numbers, room

EXAMPLES = Path(__file__).resolve().parents[4] / "examples"
KINDS = ("own-circuit", "flyback", "iso-pulse", "current-source")


@cache
def made(name: str) -> Bench:
    """A shipped rig with the demonstration's second job, in a thinner plate."""
    rig = rig_from_text((EXAMPLES / f"{name}.rig.toml").read_text(encoding="utf-8"), name)
    text = demo_text("second-build.job.toml").replace('thickness = "1.5 mm"', 'thickness = "0.3 mm"')
    return bench(rig, job_from_text(text, "job"))


@cache
def charge(name: str) -> ChargeMap:
    """Its charge map."""
    return charge_map_of(made(name))


@cache
def drilled(name: str) -> MemberResult:
    """The median member's drilling."""
    task = Task(
        made=made(name),
        charge=charge(name),
        member=median_member(uncertain_constants(made(name).rig, made(name).job)),
        seed=1,
        batch=32,
        shown=False,
        spark_energy=typical_spark_energy(charge(name), made(name)),
    )
    result = run_member(task)
    assert result is not None
    return result


@pytest.mark.parametrize("name", KINDS)
def test_a_shipped_rig_drills_and_its_account_closes(name: str) -> None:
    result = drilled(name)
    assert result.course.gets_through
    assert abs(ledger(made(name), result.metered).balance_error) <= 0.01 * LARGEST_BALANCE_ERROR
    assert result.course.sparks > 1000


def test_pulses_of_a_train_come_in_its_runs_alone() -> None:
    m = charge("iso-pulse").arrays
    run, pause = m.train[RUN], m.train[REST]
    assert (run, pause) == (pytest.approx(5e-3), pytest.approx(1e-3))
    gate = int(m.train[GATE])
    assert rest_left(m, gate, 0.5 * run) == 0.0
    assert rest_left(m, gate, run + 0.25 * pause) == pytest.approx(0.75 * pause)
    assert rest_left(m, gate + 1, run + 0.25 * pause) == 0.0
    assert rest_left(m, gate, run + pause - 0.1 * NOTHING) == 0.0


def test_a_rest_fills_the_store_and_closes() -> None:
    made_map = charge("iso-pulse")
    m, signs = made_map.arrays, np.array([1.0 if meter.role == "in" else -1.0 for meter in made_map.meters])
    energy, low = np.zeros(len(signs)), 78.0
    volts, took = rest(m, low, 0.0, 3e-5, energy)
    assert took == pytest.approx(3e-5)
    assert low < volts < 80.0
    stored = np.interp([low, volts], m.volts, m.stored[2, 0])
    assert signs @ energy == pytest.approx(stored[1] - stored[0], rel=0.05)


def test_the_longest_rate_of_pulses_is_kept_to() -> None:
    result, generator = drilled("iso-pulse"), made("iso-pulse").rig.generator
    run, pause = charge("iso-pulse").arrays.train[:2]
    most = (run / (run + pause)) / (generator.burning_time + generator.pause)
    assert 0.0 < result.figure["spark_rate"] < most


def test_a_pulse_that_ignites_at_once_is_an_arc_and_five_of_eight_stand_still() -> None:
    name = "iso-pulse"
    limit = prompt_ignition(made(name).rig.generator)
    assert limit == pytest.approx(1e-6)
    s = setting(
        made(name),
        median_member(uncertain_constants(made(name).rig, made(name).job)),
        charge(name),
        spark_energy=1e-2,
        batch=1,
    )
    w, num, flag = room(s, gap=1e-5), numbers(), flags()
    facts = np.zeros(20)
    found = []
    for waited in (2e-6, *(7 * [1e-7])):
        num[state.WAITED] = waited
        flag[state.ARCS] = (flag[state.ARCS] << 1) & 255
        w.class_count[state.C_NORMAL] += 1
        class_of_pulse(s, w, num, flag, facts, 1e-4)
        found.append(tuple(w.class_count[[state.C_NORMAL, state.C_TRANSIENT, state.C_STATIONARY]]))
    assert found[0] == (1, 0, 0)
    assert found[4] == (1, 4, 0)
    assert found[7] == (1, 4, 3)
    assert w.class_time[state.C_TRANSIENT] == pytest.approx(4e-4)


def test_where_pulses_are_given_by_a_store_at_the_gap_none_is_prompt() -> None:
    assert prompt_ignition(made("flyback").rig.generator) == 0.0


def test_classes_of_pulses_are_those_of_their_delays() -> None:
    count = drilled("iso-pulse").course.class_count
    assert count[state.C_PARTIAL] <= 0.002 * count.sum()
    assert count[state.C_NORMAL] > count[state.C_TRANSIENT]


def test_what_limits_pulses_is_said_of_pulses() -> None:
    said = limited_by(made("current-source"), drilled("current-source"))
    assert "store is being recharged" not in said


def test_a_kept_current_says_how_exact_its_ledger_is() -> None:
    def said(name: str) -> str:
        return " ".join(drilling_remarks(made(name), drilled(name).course))

    assert "taken at its mean" in said("current-source")
    assert "taken at its mean" not in said("iso-pulse")


def test_a_capture_of_pulses_is_refused_before_the_drilling() -> None:
    with pytest.raises(InputRefused, match='got generator.kind = "iso-pulse", whose pulses keep a clock'):
        Recorder(made("iso-pulse"), Asked(captures=True))
    assert Recorder(made("flyback"), Asked(captures=True)).wanted is not None


def test_an_open_gap_is_touched_at_what_strikes_it_not_at_what_the_store_holds() -> None:
    rig = made("current-source")
    assert store_ceiling(rig) == 80.0
    found = raised(rig, "The open gap reaches", store_volts=80.0)
    assert found is not None
    assert "The open gap reaches 160 V" in found.text
