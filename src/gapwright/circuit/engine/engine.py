"""Run a circuit from event to event and account for its energy."""

from collections.abc import Callable, Mapping
from dataclasses import replace

import numpy as np

from gapwright.base.checks import close_names, require_positive
from gapwright.base.errors import BalanceFault, GapwrightError, InputRefused
from gapwright.base.progress import Progress, silent
from gapwright.base.units import Seconds
from gapwright.circuit.control.control import Control
from gapwright.circuit.control.governor import Governor
from gapwright.circuit.control.ignition import Ignition, Never, Threshold
from gapwright.circuit.engine import _happening_kernel as hk
from gapwright.circuit.engine._kernel import simulate
from gapwright.circuit.engine.arrays import NEVER, Start, Window, governors_of, setup_of, state_at
from gapwright.circuit.engine.edges import EdgeMeter, LossData
from gapwright.circuit.engine.governing import machines_of
from gapwright.circuit.engine.modes import ModeBook, Worked
from gapwright.circuit.engine.run import Run, gathered
from gapwright.circuit.engine.waveform import Listener, Trace
from gapwright.circuit.network.elements import Diode
from gapwright.circuit.network.mna import GapState
from gapwright.circuit.network.netlist import Netlist

SPARK_ROOM = 4096
KNOT_ROOM = 16384
MOST_STEPS = 200_000_000
"""Steps that a run may take; some minutes of work. More are refused as soon as that is seen."""
WATCHED_LIMIT = 1e-6
"""Largest balance error of a run that is only watched: rounding adds up over millions of steps,
far below what a drawing shows."""

__all__ = ["OPEN_GAP", "Start", "Window", "chatter_error", "run", "setup_of", "state_at"]

OPEN_GAP = Never()
"""Ignition that never comes: the gap stays open."""


def chatter_error(netlist: Netlist, state: hk.State) -> GapwrightError:
    """Error that names the part which flips without end."""
    culprit, diodes = int(state.ints[hk.CULPRIT]), netlist.of(Diode)
    flips = [d.name for d in diodes] + [f"the bend of {coil.name}" for coil, _ in netlist.bends]
    on = [d.name for k, d in enumerate(diodes) if state.ints[hk.MASK] >> k & 1]
    who = flips[culprit] if culprit < len(flips) else "the gap or the control"
    return GapwrightError(
        f"{who} flips without end at {state.floats[hk.T]:g} s (conducting: {', '.join(on) or 'no diode'}); "
        "every state of the circuit must hold for some time; "
        "give the gap a recovery time, or diodes more resistance"
    )


def run(  # noqa: PLR0913 - all that a run is asked for stands in one call
    netlist: Netlist,
    control: Control,
    duration: Seconds,
    *,
    ignition: Ignition = OPEN_GAP,
    record: Window | None = None,
    initial: Start | None = None,
    script: tuple[Governor, ...] = (),
    worked: Mapping[int, Worked] | None = None,
    losses: LossData | None = None,
    watch: Callable[[ModeBook], Listener] | None = None,
    progress: Progress = silent,
) -> Run:
    """Run a circuit for a time from a state, with all meters.

    Parameters
    ----------
    netlist
        The circuit.
    control
        What works its switch.
    duration
        Time to run, above 0. [s]
    ignition
        What ignites the gap.
    record
        Stretch of time of which waveforms are kept; none if not given.
    initial
        State to start from; everything at zero if not given.
    script
        Governors that play a scene beside the control: a short of the gap, a
        switch thrown.
    worked
        Modes of this circuit by mask, worked out before, as by
        `gapwright.circuit.engine.batch.worked_together`; others are made when met.
    losses
        What transistors, diodes and cores lose beside the circuit; `Run.edges` tells it then.
    watch
        Makes a listener that hears every step of the stretch in `record`, which
        is not kept then: for stretches of any length. Not beside `losses`.
    progress
        Hears how far the run is; the run ends early if it asks to stop.

    Returns
    -------
    run
        Accounts, sparks, peaks and waveforms.

    Raises
    ------
    InputRefused
        If control, ignition or initial state name parts that are not there,
        or the run would take more steps than `MOST_STEPS`.
    BalanceFault
        If the account of energy does not close.
    """
    require_positive("duration", duration, "s")
    sense = ignition.node if isinstance(ignition, Threshold) else ""
    if sense and sense not in netlist.nodes:
        raise InputRefused(
            f"the ignition watches a node {sense!r} that is not there{close_names(sense, netlist.nodes)}"
        )
    machines = machines_of(netlist, governors_of(control, script))
    book = ModeBook(netlist, sense=sense, sensors=machines.sensors, worked=worked)
    setup = setup_of(netlist, control, ignition, record if losses is None else Window(), machines)
    state = state_at(netlist, control, initial or Start(), duration, machines)
    first = state.x.copy()
    trace = Trace.blank(book, KNOT_ROOM if record or losses else 1)
    meter = EdgeMeter(book=book, data=losses or LossData())
    if losses is not None:
        trace.listener = meter.take
        trace.wanted = (record.start, record.stop) if record else (NEVER, NEVER)
    if watch is not None:
        trace.listener, trace.wanted = watch(book), (NEVER, NEVER)
    sparks = _driven(book, setup, state, trace, progress)
    trace.stop = min(record.stop, float(state.floats[hk.T])) if record else 0.0
    result = replace(gathered(book, state, first, sparks, trace, machines.labels), edges=meter.losses())
    limit = result.balance_limit if watch is None else max(result.balance_limit, WATCHED_LIMIT)
    if abs(result.balance_error) > limit:
        raise BalanceFault(
            f"the account of energy must close to {limit:g}, got {result.balance_error:g}; "
            "report this circuit"
        )
    return result


def _thousandths(state: hk.State) -> int:
    """How far a run is, in thousandths of its time."""
    return int(1000 * state.floats[hk.T] / state.floats[hk.T_STOP])


def _require_feasible(state: hk.State) -> None:
    """Refuse a run that would take too many steps, judged by the pace so far."""
    f, steps = state.floats, int(state.ints[hk.STEPS])
    whole = steps * float(f[hk.T_STOP] / max(f[hk.T], 1e-300))
    if whole > MOST_STEPS:
        raise InputRefused(
            f"a run must take at most {MOST_STEPS:g} steps, got one that would take {whole:.3g} "
            f"({steps} for the first {f[hk.T]:.3g} s of {f[hk.T_STOP]:.3g} s); run a shorter time, "
            "or look for what switches or rings so fast"
        )


def _stuck(book: ModeBook, state: hk.State, reason: int) -> GapwrightError:
    """Error of a run that cannot go on."""
    if reason == hk.CHATTER:
        return chatter_error(book.netlist, state)
    if reason == hk.NO_CHANCE:
        return InputRefused(
            "a gap that ignites by chance must be open in modes in closed form alone, got one that is not; "
            "ignite it at given times, or above a voltage"
        )
    return InputRefused("the ignition must have enough draws for the whole run, got too few; give more")


def _driven(  # noqa: C901 - one case for each reason to come back
    book: ModeBook, setup: hk.Setup, state: hk.State, trace: Trace, progress: Progress
) -> hk.Numbers:
    """Call the kernel until the run is over; returns the log of sparks."""
    log = hk.Log(
        sparks=np.zeros((SPARK_ROOM, hk.SPARK_COLUMNS)),
        knot_times=trace.times,
        knot_slots=trace.slots,
        knot_terms=trace.terms,
    )
    kept: list[hk.Numbers] = []
    while True:
        reason = simulate(book.tables, setup, state, log)
        book.gather()
        match reason:
            case hk.DONE:
                break
            case hk.NEED_MODE:
                book.add(int(state.ints[hk.MASK]))
            case hk.SPARKS_FULL:
                kept.append(log.sparks[: state.ints[hk.SPARKS]].copy())
                state.ints[hk.SPARKS] = 0
            case hk.KNOTS_FULL:
                trace.flush(int(state.ints[hk.KNOTS]))
                state.ints[hk.KNOTS] = 0
            case hk.CHATTER | hk.DRAWS_OUT | hk.NO_CHANCE:
                raise _stuck(book, state, reason)
            case _:
                _require_feasible(state)
                if not progress(_thousandths(state), 1000, "circuit"):
                    break
    gap = GapState(int(state.ints[hk.MASK]) >> int(setup.ints[hk.GAP_BIT]) & 3)
    if book.netlist.gap is not None and gap in (GapState.ARC, GapState.REVERSE):
        hk.leave_spark(setup, state, log)
    trace.flush(int(state.ints[hk.KNOTS]))
    return np.concatenate([*kept, log.sparks[: state.ints[hk.SPARKS]]])
