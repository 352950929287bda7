"""What a page draws of one drilling, spark by spark: both bodies, the last sparks, and the gap over time."""

from dataclasses import dataclass
from math import pi

import numpy as np

from gapwright.app.drawing import Array, Outline, array, thinned
from gapwright.app.wording import GROUP, share_text
from gapwright.motion.loop import MOST_CAREFUL
from gapwright.study.drilling.playback import Frame, Playback
from gapwright.study.drilling.recorder import Recorded
from gapwright.study.drilling.tick_history import History
from gapwright.study.grounds.outcome import ClassShare, Forecast, GapLoop, Pictures

CLASS_MEANS = {
    "open": "the store is full and waits for chance: no discharge, only time",
    "normal": "the gap broke down after a delay, the store well filled",
    "partial": "the gap broke down while the store was still filling",
    "transient arc": "struck again at once where the last one had burned",
    "stationary arc": "several arcs in a row on one spot: it marks the workpiece and wears the electrode",
    "short": "electrode and workpiece touched, or debris joined them",
    "contact": "touched and parted, or a thin neck exploded: how dry rigs spark",
}
"""What each class of discharge is, for somebody new."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SparkDots:
    """The last sparks before a moment, the latest last; `kind` is the place of their class in `classes`."""

    radius_m: Array
    depth_m: Array
    kind: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DrillingFrame:
    """One moment: both bodies, the last sparks, and what the controller saw."""

    time_s: float
    depth_m: float
    gap_m: float
    mean_v: float
    debris: float
    hole: Outline
    electrode: Outline
    sparks: SparkDots


@dataclass(frozen=True, slots=True, kw_only=True)
class DrillingHistory:
    """The drilling against time in slices that lose no extreme; each slice ends at its time."""

    time_s: Array
    depth_m: Array
    gap_low_m: Array
    gap_high_m: Array
    mean_low_v: Array
    mean_high_v: Array
    debris_high: Array
    open_share: Array
    class_count: Array
    """(slices, classes) discharges; the column of `open` holds none, since it is a state."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ClassOfAll:
    """One class of discharge over the whole drilling."""

    name: str
    count: int
    share: float
    """Of all discharges."""
    time_share: float
    means: str
    says: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Margin:
    """The gap loop beside the products up to which it is calm and from which it is unstable."""

    loop: GapLoop
    calm_up_to: float
    unstable_from: float


@dataclass(frozen=True, slots=True, kw_only=True)
class DrillingDrawing:
    """One drilling, every constant at its median, each spark on its own."""

    rig: str
    job: str
    ended: str
    gets_through: bool
    thickness_m: float
    wanted_diameter_m: float
    open_v: float
    set_v: float | None
    """Mean gap voltage that the controller holds to; None where it senses something else."""
    classes: tuple[str, ...]
    new_electrode: Outline
    frames: tuple[DrillingFrame, ...]
    history: DrillingHistory
    class_shares: tuple[ClassOfAll, ...]
    margin: Margin | None
    ignition: str
    ignition_in_a_liquid: str


def drilling_drawing(recorded: Recorded, forecast: Forecast, pictures: Pictures) -> DrillingDrawing:
    """A drilling as a page plays it.

    Parameters
    ----------
    recorded
        What was kept of it.
    forecast, pictures
        The forecast whose drilling it is.
    """
    kept, loop = recorded.playback, forecast.gap_loop
    return DrillingDrawing(
        rig=kept.rig,
        job=kept.job,
        ended=kept.ended,
        gets_through=kept.ended in ("through", "at depth"),
        thickness_m=kept.thickness_m,
        wanted_diameter_m=kept.wanted_diameter_m,
        open_v=kept.open_v,
        set_v=kept.set_v,
        classes=kept.classes,
        new_electrode=thinned(pictures.new_electrode_radius_m, pictures.new_electrode_depth_m),
        frames=_frames(kept),
        history=_history(recorded.history),
        class_shares=class_shares(forecast.sparks.classes),
        margin=None if loop is None else Margin(loop=loop, calm_up_to=MOST_CAREFUL, unstable_from=0.5 * pi),
        ignition=f"{forecast.ignition}.",
        ignition_in_a_liquid=forecast.ignition_in_a_liquid,
    )


def _frames(kept: Playback) -> tuple[DrillingFrame, ...]:
    return tuple(_frame(each) for each in kept.frames)


def _frame(kept: Frame) -> DrillingFrame:
    return DrillingFrame(
        time_s=kept.time_s,
        depth_m=kept.front_m,
        gap_m=kept.gap_m,
        mean_v=kept.mean_v,
        debris=kept.debris,
        hole=_outline(kept.hole.radius_m, kept.hole.depth_m),
        electrode=_outline(kept.electrode.radius_m, kept.electrode.depth_m),
        sparks=SparkDots(
            radius_m=array(np.asarray(kept.sparks.radius_m)),
            depth_m=array(np.asarray(kept.sparks.depth_m)),
            kind=kept.sparks.kind,
        ),
    )


def _outline(radius: tuple[float, ...], depth: tuple[float, ...]) -> Outline:
    return Outline(radius_m=array(np.asarray(radius)), depth_m=array(np.asarray(depth)))


def _history(kept: History) -> DrillingHistory:
    return DrillingHistory(
        time_s=array(kept.time_s),
        depth_m=array(kept.depth_m),
        gap_low_m=array(kept.gap_low_m),
        gap_high_m=array(kept.gap_high_m),
        mean_low_v=array(kept.mean_low_v),
        mean_high_v=array(kept.mean_high_v),
        debris_high=array(kept.debris_high),
        open_share=array(kept.open_share),
        class_count=array(kept.class_count),
    )


def class_shares(classes: dict[str, ClassShare]) -> tuple[ClassOfAll, ...]:
    """Shares of the classes among all discharges, and of time."""
    total = sum(each.count for name, each in classes.items() if name != "open")
    return tuple(_class(name, each, total) for name, each in classes.items())


def _class(name: str, each: ClassShare, total: int) -> ClassOfAll:
    share = each.count / total if total and name != "open" else 0.0
    took = f"{share_text(each.time_share)} of the time"
    counted = f"{each.count:,}".replace(",", GROUP)
    says = (
        took
        if name == "open"
        else f"{counted} discharge{'' if each.count == 1 else 's'}, {share_text(share)} of all; {took}"
    )
    return ClassOfAll(
        name=name,
        count=each.count,
        share=share,
        time_share=each.time_share,
        means=CLASS_MEANS[name],
        says=says,
    )
