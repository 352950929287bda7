"""What is kept of a drilling while it runs."""

from functools import cache

import numpy as np
import pytest

from gapwright.study.drilling.drilling import Course, Luck, Tip, Watch, course
from gapwright.study.drilling.records_kept import SPARK_COLUMNS, TICK_COLUMNS, Wanted
from gapwright.study.grounds import _drilling_state as state
from tests.unit.study.drilled import charge, setting_of

THIN = 0.1e-3
AT = {name: k for k, name in enumerate(SPARK_COLUMNS)}
TICK = {name: k for k, name in enumerate(TICK_COLUMNS)}


class Kept:
    """Keeps everything."""

    def __init__(self) -> None:
        self.rows: list[np.ndarray] = []
        self.steps: list[np.ndarray] = []
        self.shapes: list[tuple] = []

    def sparks(self, rows: np.ndarray) -> None:
        self.rows.append(rows)

    def ticks(self, rows: np.ndarray) -> None:
        self.steps.append(rows)

    def shape(self, depth: float, work: tuple, tool: tuple) -> None:
        self.shapes.append((depth, work, tool))


@cache
def kept() -> tuple[Course, np.ndarray, np.ndarray, list]:
    keeper = Kept()
    done = course(
        setting_of("first-build", THIN),
        charge("first-build"),
        tip=Tip(bore=85e-6),
        luck=Luck(seed=3, member=0),
        watch=Watch(wanted=Wanted(keeper=keeper, shapes_at=(60e-6, 30e-6))),
    )
    assert done is not None
    return done, np.concatenate(keeper.rows), np.concatenate(keeper.steps), keeper.shapes


def test_every_spark_is_kept_once_and_in_order() -> None:
    done, sparks, _, _ = kept()
    assert len(sparks) == done.sparks
    assert (np.diff(sparks[:, AT["time_s"]]) > 0.0).all()
    assert (sparks[:, AT["delay_s"]] > 0.0).all()


def test_volumes_of_all_sparks_add_up_to_what_was_booked() -> None:
    done, sparks, _, _ = kept()
    assert sparks[:, AT["volume_m3"]].sum() == pytest.approx(float(done.numbers[state.REMOVED]), rel=1e-9)


def test_classes_counted_in_ticks_are_those_of_the_sparks() -> None:
    done, sparks, ticks, _ = kept()
    normal = (sparks[:, AT["class"]] == state.C_NORMAL).sum()
    assert ticks[:, TICK["normal"]].sum() == normal == done.class_count[state.C_NORMAL]
    assert ticks[-1, TICK["time_s"]] == pytest.approx(done.time, rel=1e-12)
    assert ticks[-1, TICK["depth_m"]] == done.depth


def test_every_spark_is_struck_within_its_tick() -> None:
    _, sparks, ticks, _ = kept()
    last = np.searchsorted(ticks[:, TICK["time_s"]], sparks[:, AT["time_s"]])
    assert (last < len(ticks)).all()


def test_shapes_are_taken_when_the_front_passes() -> None:
    _, _, _, shapes = kept()
    assert [shape[0] for shape in shapes] == [30e-6, 60e-6]
    for depth, (_, depths), _ in shapes:
        assert depth <= depths.max() < depth + 30e-6


def test_keeping_changes_nothing() -> None:
    done = kept()[0]
    alone = course(
        setting_of("first-build", THIN),
        charge("first-build"),
        tip=Tip(bore=85e-6),
        luck=Luck(seed=3, member=0),
    )
    assert alone is not None
    assert alone.numbers[state.REMOVED] == done.numbers[state.REMOVED]
    assert alone.time == done.time
