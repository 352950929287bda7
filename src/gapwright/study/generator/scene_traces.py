"""Chosen waveforms of a scene over any stretch: what was recorded in closed form, the rest by a new run."""

from dataclasses import dataclass, field

import numpy as np

from gapwright.base.checks import close_names
from gapwright.base.errors import InputRefused
from gapwright.base.progress import Progress, silent, tell
from gapwright.base.quantity import printed_quantity
from gapwright.base.units import Seconds
from gapwright.circuit.control.ignition import Ignition, Threshold
from gapwright.circuit.engine import _happening_kernel as hk
from gapwright.circuit.engine.engine import OPEN_GAP, Start, Window, run
from gapwright.circuit.engine.mixes import node_mix, part_mix
from gapwright.circuit.engine.modes import ModeBook
from gapwright.circuit.engine.waveform import Listener, Trace, drawn
from gapwright.circuit.network.mna import GapState, Rows
from gapwright.circuit.network.netlist import Netlist
from gapwright.circuit.stages.generators import SUPPLY
from gapwright.study.generator.network import switched_on
from gapwright.study.generator.scenes import WARM_UP, SceneName, Scenes, burning_on
from gapwright.study.grounds.outcome import Curve

LEAST_STRETCH = 1e-9
LONGEST_LOOK = 600.0
"""Shortest and longest stretch that can be looked at. [s]"""
MOST_SLICES = 20_000
MOST_TRACES = 8
KINDS = {"volts": "V", "amperes": "A", "node": "V"}
"""Kinds of trace, and the unit of each: voltage across a part, current through it, voltage of a node."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """One trace that is asked for: its kind, and the name of its part or node."""

    kind: str
    name: str

    @property
    def key(self) -> str:
        """The text that asks for it, such as ``volts:store``."""
        return f"{self.kind}:{self.name}"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Traced:
    """Lowest and highest value of one trace in each of many equal slices."""

    asked: Asked
    unit: str
    low: Curve
    high: Curve


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SceneTraces:
    """Traces over one stretch of a scene."""

    scene: str
    start_s: Seconds
    stop_s: Seconds
    traces: tuple[Traced, ...]

    @property
    def time_s(self) -> Curve:
        """(n,) middle of each slice, from the beginning of the scene."""
        edges = np.linspace(self.start_s, self.stop_s, len(self.traces[0].low) + 1)
        middle: Curve = 0.5 * (edges[1:] + edges[:-1])
        return middle


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """What is looked at: a scene, a stretch of it, and traces."""

    scene: SceneName
    start: Seconds
    stop: Seconds
    asked: tuple[Asked, ...]
    slices: int = 1200

    def __post_init__(self) -> None:
        """Refuse a stretch or a number of slices that nobody can look at."""
        if not (np.isfinite([self.start, self.stop]).all() and 0.0 <= self.start < self.stop):
            raise InputRefused(
                f"a stretch must begin at 0 s or later and end after it begins, got {self.start:g} s "
                f"to {self.stop:g} s"
            )
        if self.stop - self.start < LEAST_STRETCH * (1.0 - 1e-6) or self.stop > LONGEST_LOOK:
            raise InputRefused(
                f"a stretch must last at least {printed_quantity(LEAST_STRETCH, 's')} and end within "
                f"{printed_quantity(LONGEST_LOOK, 's')}, got {self.start:g} s to {self.stop:g} s"
            )
        if not 2 <= self.slices <= MOST_SLICES:
            raise InputRefused(f"slices must be between 2 and {MOST_SLICES}, got {self.slices}")
        if not 1 <= len(self.asked) <= MOST_TRACES:
            raise InputRefused(f"between 1 and {MOST_TRACES} traces can be asked for, got {len(self.asked)}")

    @property
    def edges(self) -> Rows:
        """Edges of the slices."""
        return np.linspace(self.start, self.stop, self.slices + 1)


def trace_asked(text: str) -> Asked:
    """Trace that a text such as ``volts:store`` or ``node:out`` asks for.

    Raises
    ------
    InputRefused
        If it is not of that form.

    Examples
    --------
    >>> trace_asked("amperes:charging resistor").name
    'charging resistor'
    """
    kind, colon, name = text.partition(":")
    if not colon or not name or kind not in KINDS:
        raise InputRefused(
            f"a trace must be volts:PART, amperes:PART or node:NODE, got {text[:60]!r}"
            f"{close_names(kind[:20], list(KINDS))}"
        )
    return Asked(kind=kind, name=name)


def traces_of(netlist: Netlist) -> tuple[Asked, ...]:
    """All that can be asked for; the nodes behind what only stands for the supply's limit are left out."""
    parts = [part for part in netlist.elements if not part.name.startswith(f"{SUPPLY} ")]
    nodes = dict.fromkeys(node for part in parts for node in (part.start, part.end))
    return (
        *(Asked(kind="volts", name=part.name) for part in parts),
        *(Asked(kind="amperes", name=part.name) for part in parts),
        *(Asked(kind="node", name=node) for node in netlist.nodes if node in nodes),
    )


def mix_of(netlist: Netlist, asked: Asked) -> Rows:
    """Mix of watched rows that a trace is."""
    if asked.kind == "node":
        return node_mix(netlist, asked.name)
    return part_mix(netlist, asked.kind, asked.name)


def is_recorded(seen: Scenes, look: Look) -> bool:
    """Whether a look lies within what was recorded of its scene."""
    window = seen.by_name[look.scene].window
    return window.start <= look.start and look.stop <= window.stop


def looked(seen: Scenes, look: Look, *, progress: Progress = silent) -> SceneTraces:
    """Traces over a stretch of a scene; exact at any zoom, since every step is known in closed form.

    Parameters
    ----------
    seen
        Scenes of a generator.
    look
        Scene, stretch and traces.
    progress
        Hears how far a new run is, where the stretch goes beyond what was recorded.

    Raises
    ------
    InputRefused
        If there is no such part or node, or the run would take too many steps.
    Stopped
        If the listener asked to stop.
    """
    scene = seen.by_name[look.scene]
    mixes = [mix_of(seen.netlist, each) for each in look.asked]
    if is_recorded(seen, look):
        waves = [drawn(scene.ran.trace, mix, look.edges) for mix in mixes]
        lows, highs = [wave.low for wave in waves], [wave.high for wave in waves]
    else:
        lows, highs = _run_again(seen, look, mixes, progress)
    return SceneTraces(
        scene=look.scene.value,
        start_s=look.start,
        stop_s=look.stop,
        traces=tuple(
            Traced(asked=asked, unit=KINDS[asked.kind], low=low, high=high)
            for asked, low, high in zip(look.asked, lows, highs, strict=True)
        ),
    )


@dataclass(slots=True, kw_only=True, eq=False)
class Decimator:
    """Takes the steps of a run packet by packet and keeps the extremes of each slice: no peak is lost."""

    book: ModeBook
    edges: Rows
    mixes: list[Rows]
    lows: list[Rows]
    highs: list[Rows]
    progress: Progress = silent
    left: tuple[hk.Numbers, hk.Counts, hk.Numbers] | None = field(default=None)
    """The last step of the packet before, whose end is not known yet."""

    def take(self, times: hk.Numbers, slots: hk.Counts, terms: hk.Numbers) -> None:
        """Hear a packet of steps.

        Raises
        ------
        Stopped
            If the listener asked to stop.
        """
        if not len(times):
            return
        thousandths = int(1000 * float(times[-1]) / float(self.edges[-1]))
        tell(self.progress, min(thousandths, 1000), 1000, "thousandths of the way through the scene")
        packet = (times.copy(), slots.copy(), terms.copy())
        if self.left is not None:
            packet = tuple(np.concatenate(pair) for pair in zip(self.left, packet, strict=True))  # type: ignore[assignment]
        self._draw(packet, float(packet[0][-1]))
        self.left = (packet[0][-1:], packet[1][-1:], packet[2][-1:])

    def end(self) -> None:
        """Draw the last step up to the end of the stretch."""
        if self.left is not None:
            self._draw(self.left, float(self.edges[-1]))

    def _draw(self, packet: tuple[hk.Numbers, hk.Counts, hk.Numbers], stop: Seconds) -> None:
        start = max(float(packet[0][0]), float(self.edges[0]))
        stop = min(stop, float(self.edges[-1]))
        if stop <= start:
            return
        piece = Trace.blank(self.book, 1)
        piece.stop, piece.kept = stop, [packet]
        inner = self.edges[(self.edges > start) & (self.edges < stop)]
        edges = np.concatenate([[start], inner, [stop]])
        first = int(np.searchsorted(self.edges, start, side="right")) - 1
        span = slice(first, first + len(edges) - 1)
        for mix, low, high in zip(self.mixes, self.lows, self.highs, strict=True):
            wave = drawn(piece, mix, edges)
            low[span] = np.minimum(low[span], wave.low)
            high[span] = np.maximum(high[span], wave.high)


def _beginning(seen: Scenes, name: SceneName) -> tuple[Netlist, Ignition, Start]:
    """Circuit, ignition and first state of a scene, as it was run."""
    netlist = seen.netlist
    full = seen.by_name[SceneName.START_UP].ran.final
    match name:
        case SceneName.START_UP:
            return netlist, OPEN_GAP, switched_on(netlist)
        case SceneName.SPARK:
            strikes = Threshold(volts=seen.strikes_at)
            span = WARM_UP * seen.fill_time
            first = run(netlist, seen.control, span, ignition=strikes, initial=switched_on(netlist))
            return netlist, strikes, Start(values=first.final)
        case SceneName.SHORT:
            return netlist, OPEN_GAP, Start(values=full, gap=GapState.SHORT)
        case SceneName.STANDING_ARC:
            return burning_on(netlist), OPEN_GAP, Start(values=full)


def _run_again(
    seen: Scenes, look: Look, mixes: list[Rows], progress: Progress
) -> tuple[list[Rows], list[Rows]]:
    """Extremes of each slice from a new run of the scene up to the end of the stretch."""
    netlist, ignition, initial = _beginning(seen, look.scene)
    lows = [np.full(look.slices, np.inf) for _ in mixes]
    highs = [np.full(look.slices, -np.inf) for _ in mixes]
    made: list[Decimator] = []

    def watch(book: ModeBook) -> Listener:
        made.append(
            Decimator(book=book, edges=look.edges, mixes=mixes, lows=lows, highs=highs, progress=progress)
        )
        return made[0].take

    def heard(done: int, total: int, what: str) -> bool:  # noqa: ARG001 - the shape of Progress
        tell(progress, done, total, "thousandths of the way through the scene")
        return True

    run(
        netlist,
        seen.control,
        look.stop,
        ignition=ignition,
        record=Window(start=look.start, stop=look.stop),
        initial=initial,
        watch=watch,
        progress=heard,
    )
    made[0].end()
    return lows, highs
