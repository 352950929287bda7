"""What a page draws of an answer: flow, waveforms, section and curves, as plain records.

Arrays travel as little-endian 32-bit floats in base64: short on the wire, and
exact to more digits than a screen has.
"""

import base64
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gapwright.app.flow import Flow, Step, flow_of
from gapwright.app.measures import flow_in_words
from gapwright.app.stages import stage_named
from gapwright.app.wording import quantity_text
from gapwright.hole.shape import with_edge
from gapwright.study.drilling.drilling import Frame
from gapwright.study.grounds.outcome import Account, Ledger, Pictures

FLATNESS = 0.2e-6
"""Distance that a point of an outline must stand off its neighbours' chord to be kept [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Array:
    """Numbers as base64 of little-endian 32-bit floats; NaN where there is nothing."""

    f32: str
    shape: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FlowLine:
    """One loss of a stage."""

    account: str
    power_w: float
    energy_j: float
    share: float


@dataclass(frozen=True, slots=True, kw_only=True)
class FlowStage:
    """One stage: what came in, what was lost, what went on, as mean powers; share of the socket's power."""

    stage: str
    title: str
    came_in_w: float
    lost_w: float
    kept_w: float
    went_on_w: float
    share: float
    losses: tuple[FlowLine, ...]
    of_which: tuple[FlowLine, ...]
    says: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FlowDrawing:
    """The flow across the page; `socket_w` is all from the socket, auxiliaries included."""

    basis: str
    duration_s: float
    entered_w: float
    socket_w: float
    stages: tuple[FlowStage, ...]
    beside: tuple[FlowLine, ...]
    says: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WaveDrawing:
    """Store and gap over a few sparks."""

    time_s: Array
    store_v: Array
    gap_v: Array
    gap_a: Array
    says: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DepthDrawing:
    """Depth against time: low, median and high over the members."""

    time_s: Array
    low_m: Array
    median_m: Array
    high_m: Array


@dataclass(frozen=True, slots=True, kw_only=True)
class Outline:
    """Half of a body of rotation: points by radius and depth below the entry face."""

    radius_m: Array
    depth_m: Array


@dataclass(frozen=True, slots=True, kw_only=True)
class SectionFrame:
    """Hole and electrode at one moment."""

    time_s: float
    depth_m: float
    hole: Outline
    electrode: Outline


@dataclass(frozen=True, slots=True, kw_only=True)
class SectionDrawing:
    """Hole and electrode over the drilling shown; the last frame is its end."""

    thickness_m: float
    wanted_diameter_m: float
    wanted_tolerance_m: float
    new_electrode: Outline
    frames: tuple[SectionFrame, ...]


def array(values: NDArray[np.float64]) -> Array:
    """Numbers for the wire."""
    plain = np.ascontiguousarray(values, dtype="<f4")
    return Array(f32=base64.b64encode(plain.tobytes()).decode("ascii"), shape=plain.shape)


def flow_drawing(ledger: Ledger, *, basis: str) -> FlowDrawing:
    """A ledger as the flow that a page draws; `basis` says in words what it is an account of."""
    flow = flow_of(ledger)
    given = flow.entered_j + sum(line.energy_j for line in flow.beside)
    return FlowDrawing(
        basis=basis,
        duration_s=flow.duration_s,
        entered_w=flow.watts(flow.entered_j),
        socket_w=flow.watts(given),
        stages=tuple(_stage(flow, step, given) for step in flow.steps),
        beside=_lines(flow, flow.beside),
        says=flow_in_words(flow),
    )


def _stage(flow: Flow, step: Step, given: float) -> FlowStage:
    title = stage_named(step.stage).title
    return FlowStage(
        stage=step.stage,
        title=title,
        came_in_w=flow.watts(step.came_in_j),
        lost_w=flow.watts(step.lost_j),
        kept_w=flow.watts(sum(line.energy_j for line in step.kept)),
        went_on_w=flow.watts(step.went_on_j),
        share=step.came_in_j / given if given > 0.0 else 0.0,
        losses=_lines(flow, step.losses),
        of_which=_lines(flow, step.of_which),
        says=_stage_says(flow, step),
    )


def _lines(flow: Flow, accounts: tuple[Account, ...]) -> tuple[FlowLine, ...]:
    return tuple(
        FlowLine(account=a.account, power_w=flow.watts(a.energy_j), energy_j=a.energy_j, share=a.share)
        for a in accounts
        if a.energy_j != 0.0
    )


def _stage_says(flow: Flow, step: Step) -> str:
    """What becomes of the power that reaches a stage."""
    arrives = quantity_text(flow.watts(step.came_in_j), "W")
    losses = [line for line in step.losses if line.energy_j > 0.0]
    if not losses:
        return f"{arrives} arrive and go on."
    most = max(losses, key=lambda line: line.energy_j)
    taken = quantity_text(flow.watts(step.lost_j), "W")
    mainly = f", mainly {most.account}" if len(losses) > 1 else f" as {most.account}"
    return f"{arrives} arrive; {taken} stay here{mainly}."


def depth_drawing(pictures: Pictures) -> DepthDrawing:
    """Depth against time."""
    low, median, high = pictures.depth_m
    return DepthDrawing(
        time_s=array(pictures.depth_time_s), low_m=array(low), median_m=array(median), high_m=array(high)
    )


def spark_drawing(pictures: Pictures) -> WaveDrawing:
    """A few sparks of the drilling."""
    return WaveDrawing(
        time_s=array(pictures.spark_time_s),
        store_v=array(pictures.store_volts),
        gap_v=array(pictures.gap_volts),
        gap_a=array(pictures.gap_amperes),
        says="Store and gap over a few sparks at the median breakdown voltage of the drilling.",
    )


def thinned(radius: NDArray[np.float64], depth: NDArray[np.float64]) -> Outline:
    """An outline without the points that its neighbours' chords pass by within `FLATNESS`."""
    points = np.column_stack((radius, depth))
    keep = np.ones(len(points), dtype=bool)
    if len(points) > 2:
        chord = points[2:] - points[:-2]
        off = points[1:-1] - points[:-2]
        length = np.maximum(np.hypot(chord[:, 0], chord[:, 1]), 1e-12)
        away = np.abs(chord[:, 0] * off[:, 1] - chord[:, 1] * off[:, 0]) / length
        keep[1:-1] = away > FLATNESS
        keep[::8] = True
    return Outline(radius_m=array(points[keep, 0]), depth_m=array(points[keep, 1]))


def section_drawing(pictures: Pictures, frames: tuple[Frame, ...]) -> SectionDrawing:
    """Hole and electrode over the drilling shown."""
    return SectionDrawing(
        thickness_m=pictures.thickness_m,
        wanted_diameter_m=pictures.wanted_diameter_m,
        wanted_tolerance_m=pictures.wanted_tolerance_m,
        new_electrode=thinned(pictures.new_electrode_radius_m, pictures.new_electrode_depth_m),
        frames=tuple(
            SectionFrame(
                time_s=frame.time,
                depth_m=frame.depth,
                hole=thinned(*with_edge(*frame.work, pictures.thickness_m)),
                electrode=thinned(*frame.tool),
            )
            for frame in frames
        ),
    )
