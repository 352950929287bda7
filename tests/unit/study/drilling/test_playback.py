"""A drilling played back: its frames follow it, and stay small enough for a page."""

import json

import numpy as np
import pytest

from gapwright.app.documents import as_json
from gapwright.hole.shape import hole_volume
from gapwright.study.drilling.playback import DOTS, FRAMES, PLACES, Film
from gapwright.study.drilling.records_kept import SPARK_COLUMNS, TICK_COLUMNS
from gapwright.study.grounds import _drilling_state as state
from tests.unit.study.kept import kept

LARGEST = 1_000_000
"""Characters that a page can take without a wait."""


def test_frames_follow_the_drilling_to_its_end():
    played = kept().recorded.playback
    assert 20 <= len(played.frames) <= FRAMES + 4
    fronts = [frame.front_m for frame in played.frames]
    times = [frame.time_s for frame in played.frames]
    # The points of the outline are laid anew now and then, which may cut a tip by the last digit kept.
    assert min(np.diff(fronts)) > -1.5 * 10.0**-PLACES
    assert times == sorted(times)
    assert times[-1] == pytest.approx(kept().fine.course.time, rel=1e-4)
    assert played.ended == "through"


def test_frames_are_small_and_plain():
    text = as_json(kept().recorded.playback)
    assert len(json.dumps(json.loads(text), separators=(",", ":"))) < LARGEST


def test_dots_are_sparks_of_known_classes_on_the_holes_surface():
    played = kept().recorded.playback
    last = played.frames[-1]
    assert len(last.sparks.kind) == DOTS
    assert all(played.classes[kind] in ("normal", "partial") for kind in last.sparks.kind)
    for frame in played.frames[1:-1]:
        assert max(frame.sparks.depth_m) <= frame.front_m + 1e-6


def test_a_compact_outline_holds_the_same_hole():
    done = kept()
    frame = done.recorded.playback.frames[-1]
    full = hole_volume(*done.fine.course.work)
    few = hole_volume(np.array(frame.hole.radius_m), np.array(frame.hole.depth_m))
    assert len(frame.hole.radius_m) < len(done.fine.course.work[0])
    assert few == pytest.approx(full, rel=0.01)


def test_a_film_without_sparks_or_ticks_still_has_its_frame():
    film = Film()
    film.sparks(np.zeros((0, len(SPARK_COLUMNS))))
    film.ticks(np.zeros((0, len(TICK_COLUMNS))))
    face = (np.array([0.0, 1e-3]), np.zeros(2))
    film.shape(1e-4, face, face)
    assert film.frames[0].sparks.kind == ()
    assert (film.frames[0].time_s, film.frames[0].gap_m) == (0.0, 0.0)
    assert film.shapes == []


def test_keeping_changes_nothing_of_the_drilling():
    from gapwright.study.drilling.one_member import Task, run_member, typical_spark_energy
    from gapwright.study.grounds.uncertain import median_member, uncertain_constants
    from tests.unit.study.drilled import charge

    done = kept()
    again = run_member(
        Task(
            made=done.made,
            charge=charge("first-build"),
            member=median_member(uncertain_constants(done.made.rig, done.made.job)),
            seed=3,
            batch=1,
            shown=True,
            spark_energy=typical_spark_energy(charge("first-build"), done.made),
        )
    )
    assert again is not None
    kept_front = done.fine.course.numbers[state.FRONT]
    assert again.course.numbers[state.FRONT] == kept_front
    assert again.course.log.tobytes() == done.fine.course.log.tobytes()
