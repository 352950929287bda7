"""Electrodes that are not square-cut, and gaps that remember: whole drillings of the first build."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from gapwright.base.errors import InputRefused
from gapwright.hole.shape import hole_volume, new_electrode
from gapwright.study.drilling.drilling import Course, Luck, Tip, Watch, course
from gapwright.study.drilling.one_member import tip_of, typical_spark_energy
from gapwright.study.drilling.records_kept import SPARK_COLUMNS, Wanted
from gapwright.study.grounds import _drilling_state as state
from gapwright.study.grounds.assemble import swept_diameter
from gapwright.study.grounds.member_setting import setting
from gapwright.study.grounds.uncertain import median_member, uncertain_constants
from tests.unit.study.benches import FIRST, altered
from tests.unit.study.drilled import charge, made, setting_of

THIN = 0.2e-3
AT = {name: place for place, name in enumerate(SPARK_COLUMNS)}


def with_tip(**tip: float) -> Tip:
    return replace(tip_of(made(FIRST)), **tip)


@cache
def drilled_with(point: float = 0.0, edge: float = 0.0) -> Course:
    s = setting_of(FIRST, THIN, 8)
    done = course(s, charge(FIRST), tip=with_tip(point=point, edge=edge), luck=Luck(seed=2, member=0))
    assert done is not None
    return done


@pytest.mark.parametrize(("point", "edge"), [(0.15e-3, 0.0), (0.0, 60e-6), (0.1e-3, 50e-6)])
def test_volume_is_kept_whatever_the_tip(point: float, edge: float) -> None:
    done = drilled_with(point, edge)
    num = done.numbers
    assert done.ended == "through"
    gone = float(num[state.REMOVED] - num[state.BEYOND] + num[state.BROKEN])
    assert hole_volume(*done.work) == pytest.approx(gone, rel=1e-9)
    worn = hole_volume(*done.tool) - hole_volume(*done.new_tool)
    assert worn == pytest.approx(setting_of(FIRST, THIN, 8).smear * float(num[state.WORN]), rel=1e-8)


def test_a_pointed_electrode_opens_a_small_exit_first_and_needs_longer_to_widen_it() -> None:
    square, pointed = drilled_with(), drilled_with(point=0.15e-3)

    def travel(done: Course) -> float:
        """Feed beyond the far face at the end of the drilling."""
        return float(done.numbers[state.DEPTH]) - THIN

    assert travel(pointed) > travel(square)
    assert pointed.sparks != square.sparks


def test_a_rounded_edge_leaves_a_rounded_corner() -> None:
    radii, heights = new_electrode(0.25e-3, bore=0.0, length=1e-3, spacing=5e-6, edge=60e-6)
    beside = (radii - 0.19e-3) ** 2 + (heights - 60e-6) ** 2
    corner = (radii > 0.1901e-3) & (heights < 59e-6)
    assert np.sqrt(beside[corner]) == pytest.approx(60e-6, rel=1e-9)
    assert heights[radii < 0.19e-3].max() == 0.0


def test_a_point_is_a_cone() -> None:
    radii, heights = new_electrode(0.25e-3, bore=0.0, length=1e-3, spacing=5e-6, point=0.15e-3)
    cone = heights < 0.1499e-3
    assert heights[cone] == pytest.approx(0.6 * radii[cone], rel=1e-9)


@pytest.mark.parametrize("tip", [{"edge": 0.3e-3}, {"point": 2e-3}, {"edge": -1e-6}])
def test_a_tip_that_does_not_fit_is_refused(tip: dict[str, float]) -> None:
    with pytest.raises(InputRefused, match="edge must be"):
        new_electrode(0.25e-3, bore=0.0, length=1e-3, spacing=5e-6, **tip)


def test_flutes_wear_the_metal_that_is_left_and_let_debris_out() -> None:
    bench = made(FIRST)
    rod = {
        "form": "rod", "material": "copper", "diameter": "0.5 mm", "length": "60 mm", "free_length": "20 mm",
    }  # fmt: skip
    found = {}
    for share in ("0", "0.4"):
        electrode = type(bench.rig.setup).model_validate(
            bench.rig.setup.model_dump()
            | {"electrode": rod | {"flute_share": share}, "flushing": {"kind": "dip"}}
        )
        rig = bench.rig.model_copy(update={"setup": electrode})
        changed = replace(bench, rig=rig)
        member = median_member(uncertain_constants(rig, bench.job))
        energy = typical_spark_energy(charge(FIRST), changed)
        found[share] = setting(changed, member, charge(FIRST), spark_energy=energy, batch=1)
    assert found["0.4"].smear == pytest.approx(found["0"].smear / 0.6, rel=1e-9)
    assert found["0.4"].flow.life == pytest.approx(0.6 * found["0"].flow.life, rel=1e-9)


def test_orbit_and_run_out_widen_only_what_turns() -> None:
    rig = made(FIRST).rig
    assert swept_diameter(rig) == pytest.approx(0.53e-3)
    assert swept_diameter(altered(rig, "setup.spindle.orbit", 20e-6)) == pytest.approx(0.57e-3)
    assert swept_diameter(altered(rig, "setup.spindle.speed", 0.0)) == pytest.approx(0.5e-3)


class Rows:
    """Keeps rows about sparks."""

    def __init__(self) -> None:
        self.rows: list[np.ndarray] = []

    def sparks(self, rows: np.ndarray) -> None:
        self.rows.append(rows)

    def ticks(self, rows: np.ndarray) -> None: ...

    def shape(self, depth: float, work: tuple, tool: tuple) -> None: ...


def clustering(gain: float, base: float) -> tuple[float, float]:
    """Share of sparks near the one before, and of those that memory ignited, by the second build."""
    s = setting_of("second-build", 0.05e-3, 8)
    s = s._replace(remember=s.remember._replace(gain=gain, base=base))
    keeper = Rows()
    course(
        s, charge("second-build"), tip=tip_of(made("second-build")), luck=Luck(seed=4, member=0),
        watch=Watch(wanted=Wanted(keeper=keeper)),
    )  # fmt: skip
    rows = np.concatenate(keeper.rows)
    r, z, angle = rows[:, AT["radius_m"]], rows[:, AT["depth_m"]], rows[:, AT["angle_rad"]]
    apart2 = r[1:] ** 2 + r[:-1] ** 2 - 2.0 * r[1:] * r[:-1] * np.cos(np.diff(angle)) + np.diff(z) ** 2
    return float(np.mean(apart2 < (60e-6) ** 2)), float(np.mean(rows[:, AT["way"]] == state.W_PLACE))


def test_sparks_cluster_until_the_gap_has_deionised() -> None:
    spread, none = clustering(gain=0.0, base=1e-6)
    forgotten, few = clustering(gain=500.0, base=1e-6)
    clustered, many = clustering(gain=500.0, base=50e-6)
    assert none == 0.0
    assert few < 0.02
    assert many > 0.3
    assert clustered > 2.0 * spread
    assert forgotten < 1.3 * spread
