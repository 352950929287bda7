"""Axes and tasks of a sweep: what is read, what is refused, and that a task is all its answer needs."""

import math

import pytest

from gapwright.base.errors import InputRefused
from gapwright.study.forecast.sweep import Task, axis_from, tasks, worked
from gapwright.study.forecast.sweep_columns import CHOSEN, SHORT, column_title, column_unit
from tests.unit.rig.samples import FIRST, JOB, sample


def test_a_logarithmic_axis_keeps_its_ratio_and_its_ends():
    axis = axis_from("leads.inductance=50nH..2uH:log:25")
    assert (axis.key, axis.unit, len(axis.values)) == ("leads.inductance", "H", 25)
    assert (axis.values[0], axis.values[-1]) == (50e-9, 2e-6)
    ratios = [b / a for a, b in zip(axis.values, axis.values[1:], strict=False)]
    assert max(ratios) == pytest.approx(min(ratios), rel=1e-9)


def test_a_linear_axis_of_pure_numbers_is_written_without_a_unit():
    axis = axis_from("controller.set_point=0.3..0.7:lin:5")
    assert axis.values == pytest.approx([0.3, 0.4, 0.5, 0.6, 0.7], rel=1e-12)
    assert axis.text(axis.values[0]) == 0.3
    whole = axis_from("job.hole.count=1..4:lin:4")
    assert [type(whole.text(value)) for value in whole.values] == [int] * 4


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("leads.inductance", "--sweep must be KEY=FROM..TO:log|lin:N"),
        ("leads.inductance=1nH..2nH:cube:3", "--sweep must be KEY=FROM..TO:log|lin:N"),
        ("leads.inductance=1nH..2ns:lin:3", "values of one kind"),
        ("leads.inductance=1nH..x:lin:3", 'must be an inductance in H, written as number and unit, got "x"'),
        ("leads.inductance=x..1nH:lin:3", 'must be an inductance in H, written as number and unit, got "x"'),
        ("leads.inductance=x..y:lin:3", 'got "x"'),
        ("leads.inductance=2nH..1nH:lin:3", "must rise"),
        ("leads.inductance=2nH..2nH:lin:3", "must go from one value to another, got 2e-09 twice"),
        ("controller.set_point=0..1:log:3", "must begin above 0"),
        ("leads.inductance=1nH..2nH:lin:1", "between 2 and 100000 points"),
        ("leads.inductance=nan..2nH:lin:3", "--sweep leads.inductance"),
        ("leads.inductance=1zz..2zz:lin:3", "is not a unit known here"),
    ],
)
def test_what_is_no_axis_is_refused_in_one_line(text, words):
    with pytest.raises(InputRefused) as refusal:
        axis_from(text)
    assert words in str(refusal.value)
    assert "\n" not in str(refusal.value)


def test_a_grid_runs_its_last_key_fastest():
    axes = (axis_from("leads.inductance=100nH..200nH:lin:2"), axis_from("supply.voltage=60V..70V:lin:2"))
    grid = tasks(axes, rig=sample(FIRST))
    assert [tuple(values.values()) for values, _ in grid] == [
        (100e-9, 60.0),
        (100e-9, 70.0),
        (200e-9, 60.0),
        (200e-9, 70.0),
    ]
    assert len({task.name for _, task in grid}) == 4


def test_values_outside_the_rules_of_a_file_are_refused_before_anything_runs():
    with pytest.raises(InputRefused, match=r"leads\.inductance must be at most 1 mH"):
        tasks((axis_from("leads.inductance=1uH..2mH:log:3"),), rig=sample(FIRST))
    with pytest.raises(InputRefused, match="did you mean 'inductance'"):
        tasks((axis_from("leads.inductnce=1uH..2uH:log:3"),), rig=sample(FIRST))
    with pytest.raises(InputRefused, match="each key once"):
        tasks((axis_from("leads.inductance=1uH..2uH:log:3"),) * 2, rig=sample(FIRST))
    with pytest.raises(InputRefused, match="needs a job"):
        tasks((axis_from("job.hole.count=1..2:lin:2"),), rig=sample(FIRST))
    many = tuple(axis_from(f"{key}:lin:1000") for key in ("supply.voltage=60V..70V", "leads.length=1cm..9cm"))
    with pytest.raises(InputRefused, match="at most 100000 points, got 1000000"):
        tasks(many, rig=sample(FIRST))


def test_the_name_of_a_task_is_its_content():
    task = Task(rig=sample(FIRST), job="", changes={"leads.inductance": "1e-07 H"}, seed=0, members=0)
    same = Task(rig=sample(FIRST), job="", changes={"leads.inductance": "1e-07 H"}, seed=0, members=0)
    other = Task(rig=sample(FIRST), job="", changes={"leads.inductance": "2e-07 H"}, seed=0, members=0)
    assert task.name == same.name
    assert len({task.name, other.name}) == 2


def test_a_job_may_be_swept_beside_its_rig():
    axes = (axis_from("job.hole.tolerance=0.05mm..0.1mm:lin:2"),)
    (_, task), _ = tasks(axes, rig=sample(FIRST), job=sample(JOB))
    rig, job = task.records()
    assert rig.name == "first build"
    assert job.hole.tolerance == 5e-5


def peak(figures):
    return figures["spark_peak_current_a"]


def test_a_point_is_its_circuits_answer():
    task = Task(rig=sample(FIRST), job="", changes={"leads.inductance": "150 nH"}, seed=0, members=0)
    plain = Task(rig=sample(FIRST), job="", changes={}, seed=0, members=0)
    halved, refused = worked(task)
    whole, _ = worked(plain)
    assert refused is None
    # Half the loop: the peak rises by a little less than the root of two.
    assert 1.3 < peak(halved) / peak(whole) < math.sqrt(2.0)
    assert set(CHOSEN[:7]) <= set(whole)


def test_a_point_that_cannot_spark_says_why():
    task = Task(rig=sample(FIRST), job="", changes={"supply.voltage": "20 V"}, seed=0, members=0)
    figures, refused = worked(task)
    assert figures == {}
    assert refused is not None
    assert "peak open-gap voltage" in refused


def test_columns_have_names_and_units():
    assert set(SHORT) == set(CHOSEN)
    assert column_title("spark_left_voltage_v") == "spark left voltage"
    assert column_unit("removal_rate_m3_per_s") == "m³/s"
