"""Every spark is kept, and together they are the drilling."""

import numpy as np
import pytest

from gapwright.hole.shape import hole_volume
from gapwright.study.drilling.records_kept import SPARK_COLUMNS
from gapwright.study.drilling.spark_log import WIDTHS, SparkLog
from gapwright.study.grounds import _drilling_state as state
from gapwright.study.grounds.ledger import DISCHARGE, ledger
from tests.unit.study.kept import kept


def test_every_spark_is_there_once_and_in_order():
    done = kept()
    sparks = done.recorded.sparks
    assert sparks is not None
    assert sparks.count == done.fine.course.sparks
    assert (np.diff(sparks.column["time_s"]) >= 0.0).all()
    assert sparks.last <= done.fine.course.time
    counts = np.bincount(sparks.column["class"], weights=sparks.column["batch"], minlength=len(state.CLASSES))
    told = done.fine.course.class_count
    for k in range(state.C_NORMAL, state.C_SHORT):
        assert counts[k] == told[k]


def test_sparks_times_their_mean_volume_are_the_hole():
    done = kept()
    sparks, numbers = done.recorded.sparks, done.fine.course.numbers
    assert sparks is not None
    booked = float(numbers[state.REMOVED])
    assert sparks.count * (sparks.volume / sparks.count) == pytest.approx(booked, rel=1e-6)
    gone = booked - float(numbers[state.BEYOND]) + float(numbers[state.BROKEN])
    assert hole_volume(*done.fine.course.work) == pytest.approx(gone, rel=1e-6)


def test_energy_of_all_sparks_is_that_of_the_ledgers_meters():
    done = kept()
    sparks, metered = done.recorded.sparks, done.fine.metered
    assert sparks is not None
    burnt = sum(
        float(e) for m, e in zip(metered.meters, metered.sparking, strict=True) if m.account == DISCHARGE
    )
    # The record and the meters read the same table of the charge map between other grid points.
    assert sparks.energy == pytest.approx(burnt, rel=1e-3)
    assert abs(ledger(done.made, metered).balance_error) < 1e-6


def test_sparks_strike_where_there_is_a_gap():
    sparks = kept().recorded.sparks
    assert sparks is not None
    widest = 0.5 * kept().made.job.hole.diameter + 0.2e-3
    assert (sparks.column["radius_m"] >= 0.0).all()
    assert (sparks.column["radius_m"] < widest).all()
    assert (sparks.column["gap_m"] > 0.0).all()
    assert (sparks.column["delay_s"] >= 0.0).all()


def test_rows_are_kept_column_by_column_at_their_widths():
    rows = np.arange(3.0 * len(SPARK_COLUMNS)).reshape(3, -1)
    log = SparkLog()
    log.sparks(rows[:2])
    log.sparks(rows[2:])
    table = log.table()
    assert len(table) == 3
    for place, name in enumerate(SPARK_COLUMNS):
        assert table.column[name].dtype == WIDTHS[name]
        assert table.column[name].tolist() == rows[:, place].tolist()
    assert table.count == rows[:, -1].sum()


def test_no_spark_is_an_empty_table():
    table = SparkLog().table()
    assert (len(table), table.count, table.volume, table.last) == (0, 0, 0.0, 0.0)
