"""Rigs that cannot drill end, each for its own reason."""

import pytest

from gapwright.study.drilling.drilling import Course, Luck, course
from gapwright.study.drilling.one_member import tip_of, typical_spark_energy
from gapwright.study.generator.network import charge_map_of
from gapwright.study.grounds import _drilling_state as state
from gapwright.study.grounds._drilling_state import Setting
from gapwright.study.grounds.member_setting import PATIENCE, setting
from gapwright.study.grounds.uncertain import median_member, uncertain_constants
from tests.unit.study.benches import FIRST, demo
from tests.unit.study.drilled import charge, made, setting_of

THIN = 0.2e-3


def drill(s: Setting) -> Course:
    done = course(s, charge(FIRST), tip=tip_of(made(FIRST)), luck=Luck(seed=5, member=0))
    assert done is not None
    return done


def usual() -> Setting:
    return setting_of(FIRST, THIN, 8)


def test_a_gap_that_never_ignites_starves() -> None:
    """The axis is held off, so that it cannot touch either."""
    s = usual()
    done = drill(s._replace(hazard_scale=0.0, control=s.control._replace(gain=0.0)))
    assert done.ended == "starved"
    assert done.sparks == 0
    assert done.time == pytest.approx(PATIENCE, rel=1e-3)


def test_bridges_that_cannot_be_broken_only_short() -> None:
    s = usual()
    done = drill(s._replace(bridging=1e9, bridge_retract=5e-3, bridge_burn=1e300, effect_share=1.0))
    assert done.ended == "only shorts"
    assert float(done.numbers[state.SHORT_TIME]) * done.batch > 0.5 * done.time


def test_too_little_electrode_is_used_up() -> None:
    done = drill(usual()._replace(length=THIN + 30e-6))
    assert done.ended == "electrode used up"
    assert done.worn == pytest.approx(30e-6, rel=0.2)


def test_a_wall_that_boils_the_liquid_ends_it() -> None:
    s = usual()
    done = drill(s._replace(heat=s.heat._replace(plate=100.0 * s.heat.plate, flow_capacity=0.0)))
    assert done.ended == "liquid boils"
    assert float(done.numbers[state.HOTTEST_WALL]) > s.heat.boiling


def test_time_runs_out() -> None:
    done = drill(usual()._replace(time_limit=2.0))
    assert done.ended == "time limit"
    assert 2.0 <= done.time < 2.02


def test_a_charger_that_feeds_an_arc_lets_it_stand() -> None:
    """A damped loop does not ring the arc out, and the charger gives more than keeps it alive."""
    bench = demo(
        FIRST,
        {
            "generator.resistor.resistance": 12.0,
            "supply.current_limit": 10.0,
            "leads.contact_resistance": 3.0,
        },
    )
    fed = charge_map_of(bench)
    member = median_member(uncertain_constants(bench.rig, bench.job))
    energy = typical_spark_energy(fed, bench)
    s = setting(bench, member, fed, spark_energy=energy, batch=8)
    done = course(s, fed, tip=tip_of(bench), luck=Luck(seed=5, member=0))
    assert done is not None
    assert done.ended == "standing arc"
