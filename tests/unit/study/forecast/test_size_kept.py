from math import nan
from types import SimpleNamespace

import pytest

from gapwright.rig.job import Job
from gapwright.rig.reading import job_from_text
from gapwright.study.forecast.size_kept import size_in_words
from gapwright.wiring import demo_text


def job(**hole: object) -> Job:
    found = job_from_text(demo_text("first-build.job.toml"), "job")
    return found.model_copy(update={"hole": found.hole.model_copy(update=hole)})


def member(entry: float, leaves: float, *, done: bool = True):
    figure = {"entry": entry, "exit": leaves}
    return SimpleNamespace(course=SimpleNamespace(gets_through=done), figure=figure)


def test_shares_are_of_the_finished_holes_alone() -> None:
    members = [
        member(0.60e-3, 0.50e-3),
        member(0.61e-3, 0.55e-3),
        member(0.70e-3, 0.49e-3),
        member(0.58e-3, 0.48e-3),
        member(0.58e-3, 0.58e-3, done=False),
    ]
    said = size_in_words(job(), members)
    assert said == (
        "Of 4 finished holes the wanted 0.58 ± 0.04 mm is kept by 75 % at the entry and "
        "25 % at the exit (the middle one is 0.085 mm too narrow)."
    )


@pytest.mark.parametrize(("size", "way"), [(0.70e-3, "0.12 mm too wide"), (0.50e-3, "0.08 mm too narrow")])
def test_a_blind_hole_has_only_an_entry(size: float, way: str) -> None:
    said = size_in_words(job(through=False, depth=1e-3), [member(size, nan)])
    assert said.endswith(f"by 0 % at the entry (the middle one is {way}).")
    assert "exit" not in said


def test_nothing_is_said_where_nothing_is_finished() -> None:
    assert size_in_words(job(), []) == ""
    assert size_in_words(job(), [member(0.6e-3, nan)]) == ""
    assert size_in_words(job(), [member(0.6e-3, 0.6e-3, done=False)]) == ""
