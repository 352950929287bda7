"""Keeps what a forecast shows of its drilling: history, frames, shapes, and every spark where asked."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gapwright.base.errors import InputRefused
from gapwright.base.units import Metres, Volts
from gapwright.rig.generator import gives_pulses
from gapwright.rig.job import wanted_depth
from gapwright.study.drilling.drilled_capture import Stretch, StretchRows
from gapwright.study.drilling.drilling import Course
from gapwright.study.drilling.playback import CLASSES, Film, Playback, frame_depths
from gapwright.study.drilling.records_kept import Surface, Wanted
from gapwright.study.drilling.shapes_at_depth import Shapes, checked_depths, usual_depths
from gapwright.study.drilling.spark_log import SparkLog, SparkTable
from gapwright.study.drilling.tick_history import History, TickHistory
from gapwright.study.grounds import _drilling_state as state
from gapwright.study.grounds.assemble import Bench

SCHEMA = 1
GAP_VOLTAGE = frozenset({"mean-gap-voltage"})
"""What a controller may sense that is a mean gap voltage."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Recorded:
    """What was kept of one drilling."""

    history: History
    shapes: Shapes
    playback: Playback
    sparks: SparkTable | None
    """Every spark, where it was asked for."""
    stretch: StretchRows | None
    """What a capture is made of, where one was asked for."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What is kept beside history and frames: each spark, both bodies at depths, a stretch for a capture.

    Without depths there are a few evenly spread ones. The stretch ends where the
    front passes `capture_at`, or half the wanted depth if `captures` and none is given.
    """

    every_spark: bool = False
    shapes_at: tuple[Metres, ...] = ()
    captures: bool = False
    capture_at: Metres | None = None


NOTHING = Asked()


def held_voltage(made: Bench) -> Volts | None:
    """Mean gap voltage that the controller holds to; None where it senses something else.

    Parameters
    ----------
    made
        Rig and job with their facts.

    Returns
    -------
    voltage
        The set point times the open voltage. [V]
    """
    controller = made.rig.controller
    return controller.set_point * made.ceiling if controller.senses in GAP_VOLTAGE else None


def _require_captured(made: Bench) -> None:
    """Refuse a capture of pulses: a stretch of a drilling knows its sparks, not where the clock stood."""
    if gives_pulses(made.rig.generator):
        raise InputRefused(
            "a capture of a drilling must be of a store that fires into the gap, "
            f'got generator.kind = "{made.rig.generator.kind}", whose pulses keep a clock of their own; '
            "take the sparks (--sparks), or the pulses alone by `gapwright circuit --plot FILE.parquet`"
        )


class Recorder:
    """Takes rows and shapes of a drilling and hands each to whoever keeps them."""

    def __init__(self, made: Bench, asked: Asked = NOTHING) -> None:
        """Be ready for a drilling of this rig and job.

        Parameters
        ----------
        made
            Rig and job with their facts.
        asked
            What is kept beside history and frames.

        Raises
        ------
        InputRefused
            If the drilling cannot pass one of the depths, or a capture is asked of pulses.
        """
        self._made, job = made, made.job
        depths = checked_depths(asked.shapes_at, job) if asked.shapes_at else usual_depths(job)
        self._film, self._history = Film(depths), TickHistory()
        self._log = SparkLog() if asked.every_spark else None
        self._stretch: Stretch | None = None
        at = {*depths, *frame_depths(wanted_depth(job))}
        if asked.captures:
            _require_captured(made)
            half = 0.5 * wanted_depth(job) if asked.capture_at is None else asked.capture_at
            self._stretch = Stretch(checked_depths([half], job)[0])
            at.add(half)
        self.wanted = Wanted(keeper=self, shapes_at=tuple(sorted(at)))

    def sparks(self, rows: NDArray[np.float64]) -> None:
        """Take rows about sparks."""
        self._film.sparks(rows)
        if self._log is not None:
            self._log.sparks(rows)
        if self._stretch is not None:
            self._stretch.sparks(rows)

    def ticks(self, rows: NDArray[np.float64]) -> None:
        """Take rows about ticks."""
        self._film.ticks(rows)
        self._history.ticks(rows)
        if self._stretch is not None:
            self._stretch.ticks(rows)

    def shape(self, depth: Metres, work: Surface, tool: Surface) -> None:
        """Take both surfaces at a depth."""
        self._film.shape(depth, work, tool)
        if self._stretch is not None:
            self._stretch.passed(depth)

    def recorded(self, course: Course, *, seed: int) -> Recorded:
        """Everything kept, once the drilling has ended.

        Parameters
        ----------
        course
            The drilling, as it ended.
        seed
            Its seed.
        """
        made = self._made
        if self._stretch is not None:
            self._stretch.end()
        plane = float(course.numbers[state.DEPTH])
        self._film.end(course.work, (course.tool[0], plane - course.tool[1]))
        rig, job = made.rig, made.job
        return Recorded(
            history=self._history.history(),
            shapes=Shapes(
                schema=SCHEMA,
                rig=rig.name,
                job=job.name,
                seed=seed,
                thickness_m=job.workpiece.thickness,
                new_electrode_radius_m=float(np.max(course.new_tool[0])),
                shapes=tuple(self._film.shapes),
            ),
            playback=Playback(
                schema=SCHEMA,
                rig=rig.name,
                job=job.name,
                ended=course.ended,
                classes=CLASSES,
                thickness_m=job.workpiece.thickness,
                wanted_diameter_m=job.hole.diameter,
                open_v=made.ceiling,
                set_v=held_voltage(made),
                frames=tuple(self._film.frames),
            ),
            sparks=None if self._log is None else self._log.table(),
            stretch=None if self._stretch is None else self._stretch.rows,
        )
