"""Run a circuit from event to event and account for its energy."""

from dataclasses import dataclass, field

import numpy as np

from gapwright.base.checks import close_names, require_finite, require_positive
from gapwright.base.errors import BalanceFault, GapwrightError, InputRefused
from gapwright.base.progress import Progress, silent
from gapwright.base.units import Seconds
from gapwright.circuit import _happening_kernel as hk
from gapwright.circuit._event_kernel import SPLITS
from gapwright.circuit._kernel import simulate
from gapwright.circuit._ladder_kernel import ROOM
from gapwright.circuit.control import Control, FixedOnTime, NoControl, PeakCurrent
from gapwright.circuit.elements import Diode, Switch
from gapwright.circuit.ignition import Chance, Forced, Ignition, Never, Threshold
from gapwright.circuit.mna import GapState
from gapwright.circuit.modes import EXTRA_EVENTS, ModeBook
from gapwright.circuit.netlist import Netlist
from gapwright.circuit.run import Run, gathered
from gapwright.circuit.states import scaled_state, state_scale
from gapwright.circuit.waveform import Trace

NEVER = 1e300
SPARK_ROOM = 4096
KNOT_ROOM = 16384
STEPS_AT_ONCE = 100_000
"""Steps after which a kernel returns; about 50 ms of work."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """A stretch of time of which the waveforms are kept."""

    start: Seconds = 0.0
    stop: Seconds = NEVER


@dataclass(frozen=True, slots=True, kw_only=True)
class Start:
    """State a run starts from: voltages of capacitors and currents of inductors by name, the rest at zero."""

    values: dict[str, float] = field(default_factory=dict)
    gap: GapState = GapState.OPEN


def _bit(netlist: Netlist, name: str) -> int:
    names = [switch.name for switch in netlist.of(Switch)]
    if name not in names:
        raise InputRefused(f"the control works a switch {name!r} that is not there{close_names(name, names)}")
    return len(netlist.of(Diode)) + len(netlist.bends) + names.index(name)


def setup_of(netlist: Netlist, control: Control, ignition: Ignition, record: Window | None) -> hk.Setup:
    """Arrays that tell the kernels what a run is to do."""
    ints, floats = np.zeros(hk.SETUP_INTS, dtype=np.int64), np.zeros(hk.SETUP_FLOATS)
    flips, switches = len(netlist.of(Diode)) + len(netlist.bends), len(netlist.of(Switch))
    names = netlist.state_names
    ints[hk.DIODES], ints[hk.GAP_BIT] = flips, flips + switches
    ints[hk.STORE] = names.index(netlist.store) if netlist.store else -1
    ints[hk.WATCH_PEAKS], ints[hk.WATCH_KNOTS], ints[hk.MOST_STEPS] = 1, record is not None, STEPS_AT_ONCE
    floats[hk.THRESHOLD] = ignition.volts if isinstance(ignition, Threshold) else NEVER
    floats[hk.LIMIT] = floats[hk.HIGHEST] = floats[hk.STORE_SCALE] = 1.0
    if netlist.store:
        floats[hk.STORE_SCALE] = state_scale(netlist)[ints[hk.STORE]]
    if netlist.gap is not None:
        floats[hk.HOLD], floats[hk.RECOVERY] = netlist.gap.hold_amperes, netlist.gap.recovery_seconds
    if record is not None:
        floats[hk.KNOTS_FROM], floats[hk.KNOTS_TO] = record.start, record.stop
    _enter_control(netlist, control, ints, floats)
    hazard, forced, draws = np.zeros(4), np.zeros(0), np.zeros(0)
    if isinstance(ignition, Chance):
        hazard = np.array([ignition.rate, ignition.reference, ignition.exponent, ignition.zero_below])
        draws = np.array(ignition.draws, dtype=float)
    if isinstance(ignition, Forced):
        forced = np.array(ignition.times, dtype=float)
    return hk.Setup(ints=ints, floats=floats, hazard=hazard, forced=forced, draws=draws)


def _enter_control(netlist: Netlist, control: Control, ints: hk.Counts, floats: hk.Numbers) -> None:
    match control:
        case NoControl():
            return
        case FixedOnTime():
            floats[hk.PERIOD], floats[hk.ON_TIME] = control.period, control.on_time
        case PeakCurrent():
            if not (netlist.coil and netlist.store):
                raise InputRefused(
                    "a peak-current control must have a coil and a store to watch, got none; name them"
                )
            floats[hk.LIMIT], floats[hk.MINIMUM_OFF] = control.limit, control.minimum_off_time
            floats[hk.HIGHEST], floats[hk.RELEASE] = control.voltage_limit, control.release
    ints[hk.SWITCH_BIT] = _bit(netlist, control.switch)


def state_at(netlist: Netlist, control: Control, start: Start, duration: Seconds) -> hk.State:
    """Arrays that hold the state a run starts from.

    Parameters
    ----------
    netlist, control, start
        The circuit, what works its switch, and what its parts hold at first.
    duration
        Time the run is to take, above 0. [s]
    """
    names = netlist.state_names
    for name, value in start.values.items():
        if name not in names:
            raise InputRefused(f"{name!r} stores nothing to start from{close_names(name, names)}")
        require_finite(f"initial value of {name}", value, "")
    x = scaled_state(netlist, start.values)
    ints, floats = np.zeros(hk.STATE_INTS, dtype=np.int64), np.zeros(hk.STATE_FLOATS)
    flips = len(netlist.of(Diode)) + len(netlist.bends)
    for k, switch in enumerate(netlist.of(Switch)):
        ints[hk.MASK] |= int(switch.closed) << (flips + k)
    ints[hk.MASK] |= int(start.gap) << (flips + len(netlist.of(Switch)))
    floats[hk.T_STOP], floats[hk.T_EDGE] = duration, NEVER
    match control:
        case FixedOnTime():
            ints[hk.CONTROL], floats[hk.T_EDGE] = hk.TIMED_OFF, 0.0
        case PeakCurrent():
            ints[hk.CONTROL], floats[hk.T_EDGE] = hk.SWITCH_OFF, 0.0
        case NoControl():
            pass
    peaks = np.zeros((2, 2 * len(netlist.elements)))
    m = len(x)
    return hk.State(
        x=x,
        ints=ints,
        floats=floats,
        peaks=peaks,
        vectors=np.zeros((8, m)),
        integrals=np.zeros((m, m)),
        factors=np.zeros((3, m)),
        room=np.zeros((7, max(SPLITS + 1, peaks.shape[1] + m, flips + EXTRA_EVENTS))),
        squares=np.zeros((ROOM, m, m)),
    )


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
    progress
        Hears how far the run is; the run ends early if it asks to stop.

    Returns
    -------
    run
        Accounts, sparks, peaks and waveforms.

    Raises
    ------
    InputRefused
        If control, ignition or initial state name parts that are not there.
    BalanceFault
        If the account of energy does not close.
    """
    require_positive("duration", duration, "s")
    sense = ignition.node if isinstance(ignition, Threshold) else ""
    if sense and sense not in netlist.nodes:
        raise InputRefused(
            f"the ignition watches a node {sense!r} that is not there{close_names(sense, netlist.nodes)}"
        )
    book = ModeBook(netlist, sense=sense)
    setup = setup_of(netlist, control, ignition, record)
    state = state_at(netlist, control, initial or Start(), duration)
    first = state.x.copy()
    trace = Trace.blank(book, KNOT_ROOM if record else 1)
    sparks = _driven(book, setup, state, trace, progress)
    trace.stop = min(record.stop, float(state.floats[hk.T])) if record else 0.0
    result = gathered(book, state, first, sparks, trace)
    if abs(result.balance_error) > result.balance_limit:
        raise BalanceFault(
            f"the account of energy must close to {result.balance_limit:g}, got {result.balance_error:g}; "
            "report this circuit"
        )
    return result


def _thousandths(state: hk.State) -> int:
    """How far a run is, in thousandths of its time."""
    return int(1000 * state.floats[hk.T] / state.floats[hk.T_STOP])


def _stuck(book: ModeBook, state: hk.State, reason: int) -> GapwrightError:
    """Error of a run that cannot go on."""
    if reason == hk.CHATTER:
        return chatter_error(book.netlist, state)
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
            case hk.CHATTER | hk.DRAWS_OUT:
                raise _stuck(book, state, reason)
            case _:
                if not progress(_thousandths(state), 1000, "circuit"):
                    break
    if book.netlist.gap is not None and state.ints[hk.MASK] >> setup.ints[hk.GAP_BIT] & 3 == GapState.ARC:
        hk.write_spark(setup, state, log, 0.0)
    trace.flush(int(state.ints[hk.KNOTS]))
    return np.concatenate([*kept, log.sparks[: state.ints[hk.SPARKS]]])
