"""What a run is to do and where it starts, as arrays for the kernels."""

from dataclasses import dataclass, field

import numpy as np

from gapwright.base.checks import close_names, require_finite
from gapwright.base.errors import InputRefused
from gapwright.base.units import Seconds
from gapwright.circuit.control.control import Control, FixedOnTime, NoControl, PeakCurrent
from gapwright.circuit.control.governor import Governed, Governor
from gapwright.circuit.control.ignition import Chance, Forced, Ignition, Threshold
from gapwright.circuit.engine import _governor_kernel as gk
from gapwright.circuit.engine import _happening_kernel as hk
from gapwright.circuit.engine._calm_kernel import ROWS
from gapwright.circuit.engine._event_kernel import SPLITS
from gapwright.circuit.engine._ladder_kernel import ROOM
from gapwright.circuit.engine.governing import Machines, machines_of
from gapwright.circuit.engine.modes import EXTRA_EVENTS
from gapwright.circuit.network.elements import Diode, Gap, Switch
from gapwright.circuit.network.mna import GapState
from gapwright.circuit.network.netlist import Netlist
from gapwright.circuit.network.states import scaled_state, state_scale

NEVER = 1e300
STEPS_AT_ONCE = 10_000
"""Steps after which a kernel returns and its sums are gathered; about 3 ms of work."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """A stretch of time of which the waveforms are kept."""

    start: Seconds = 0.0
    stop: Seconds = NEVER


@dataclass(frozen=True, slots=True, kw_only=True)
class Start:
    """State a run starts from.

    Voltages of capacitors, currents of inductors, charges of counters and of
    diodes that store any by name, the rest at zero; phases of governors by
    name where they are not to start in their first.
    """

    values: dict[str, float] = field(default_factory=dict)
    gap: GapState = GapState.OPEN
    phases: dict[str, str] = field(default_factory=dict)


def _bit(netlist: Netlist, name: str) -> int:
    names = [switch.name for switch in netlist.of(Switch)]
    if name not in names:
        raise InputRefused(f"the control works a switch {name!r} that is not there{close_names(name, names)}")
    return len(netlist.of(Diode)) + len(netlist.bends) + names.index(name)


def governors_of(control: Control, script: tuple[Governor, ...] = ()) -> tuple[Governor, ...]:
    """All governors of a run: those of the control, then those of a script."""
    return (*(control.governors if isinstance(control, Governed) else ()), *script)


def setup_of(
    netlist: Netlist,
    control: Control,
    ignition: Ignition,
    record: Window | None,
    machines: Machines | None = None,
) -> hk.Setup:
    """Arrays that tell the kernels what a run is to do."""
    if machines is None:
        machines = machines_of(netlist, governors_of(control))
    ints, floats = np.zeros(hk.SETUP_INTS, dtype=np.int64), np.zeros(hk.SETUP_FLOATS)
    flips, switches = len(netlist.of(Diode)) + len(netlist.bends), len(netlist.of(Switch))
    names = netlist.state_names
    ints[hk.DIODES], ints[hk.GAP_BIT] = flips, flips + switches
    ints[hk.STORE] = names.index(netlist.store) if netlist.store else -1
    ints[hk.WATCH_PEAKS], ints[hk.WATCH_KNOTS], ints[hk.MOST_STEPS] = 1, record is not None, STEPS_AT_ONCE
    ints[hk.GAP_ROW] = netlist.names.index(netlist.gap.name) if netlist.gap is not None else -1
    floats[hk.THRESHOLD] = ignition.volts if isinstance(ignition, Threshold) else NEVER
    floats[hk.LIMIT] = floats[hk.HIGHEST] = floats[hk.STORE_SCALE] = 1.0
    if netlist.store:
        floats[hk.STORE_SCALE] = state_scale(netlist)[ints[hk.STORE]]
    if netlist.gap is not None:
        _enter_gap(netlist.gap, ignition, floats)
    if record is not None:
        floats[hk.KNOTS_FROM], floats[hk.KNOTS_TO] = record.start, record.stop
    _enter_control(netlist, control, ints, floats)
    hazard, forced, draws = np.zeros(4), np.zeros(0), np.zeros(0)
    if isinstance(ignition, Chance):
        hazard = np.array([ignition.rate, ignition.reference, ignition.exponent, ignition.zero_below])
        draws = np.array(ignition.draws, dtype=float)
    if isinstance(ignition, Forced):
        forced = np.array(ignition.times, dtype=float)
    return hk.Setup(
        ints=ints,
        floats=floats,
        hazard=hazard,
        forced=forced,
        draws=draws,
        phases=machines.phases,
        rules=machines.rules,
        levels=machines.levels,
        watching=machines.watching,
    )


def _enter_gap(gap: Gap, ignition: Ignition, floats: hk.Numbers) -> None:
    """What ends a discharge, and what a gap that has just gone out takes to burn on, either way."""
    floats[hk.HOLD], floats[hk.RECOVERY] = gap.hold_amperes, gap.recovery_seconds
    again = gap.restrike_volts if gap.restrike_volts > 0 else NEVER
    elsewhere = isinstance(ignition, Threshold) and bool(ignition.node)
    floats[hk.BACK], floats[hk.FORTH] = again, NEVER if elsewhere else again


def _enter_control(netlist: Netlist, control: Control, ints: hk.Counts, floats: hk.Numbers) -> None:
    match control:
        case NoControl() | Governed():
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


def state_at(
    netlist: Netlist, control: Control, start: Start, duration: Seconds, machines: Machines | None = None
) -> hk.State:
    """Arrays that hold the state a run starts from.

    Parameters
    ----------
    netlist, control, start
        The circuit, what works its switch, and what its parts hold at first.
    duration
        Time the run is to take, above 0. [s]
    machines
        Governors of the run; those of the control if not given.
    """
    if machines is None:
        machines = machines_of(netlist, governors_of(control))
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
    floats[hk.T_STOP] = duration
    _enter_first_edge(control, ints, floats)
    peaks = np.zeros((2, 2 * len(netlist.elements)))
    m, governors = len(x), len(machines.firsts)
    state = hk.State(
        x=x,
        ints=ints,
        floats=floats,
        peaks=peaks,
        vectors=np.zeros((8, m)),
        integrals=np.zeros((m, m)),
        factors=np.zeros((3, m)),
        room=np.zeros(
            (10 + ROWS, max(SPLITS + 1, peaks.shape[1] + m, flips + EXTRA_EVENTS + len(machines.sensors)))
        ),
        squares=np.zeros((ROOM, m, m)),
        current=np.full(governors, -1, dtype=np.int64),
        clock=np.zeros((governors, 2)),
        stays=np.zeros(len(machines.labels)),
    )
    for first in _first_phases(machines, start.phases):
        ints[hk.MASK] = gk.enter_phase(
            machines.phases,
            machines.rules,
            machines.levels,
            (state.current, state.clock, state.stays),
            first,
            0.0,
            ints[hk.MASK],
            x,
        )
    return state


def _first_phases(machines: Machines, asked: dict[str, str]) -> list[int]:
    """Phase in which each governor starts."""
    firsts = list(machines.firsts)
    for governor, phase in asked.items():
        label = f"{governor}/{phase}"
        if label not in machines.labels:
            raise InputRefused(
                f"no governor starts in {label!r}, which is not there{close_names(label, machines.labels)}"
            )
        place = machines.labels.index(label)
        firsts[int(machines.phases[place, gk.GOVERNOR])] = place
    return firsts


def _enter_first_edge(control: Control, ints: hk.Counts, floats: hk.Numbers) -> None:
    """What a clock or a current limit does first."""
    floats[hk.T_EDGE] = NEVER
    match control:
        case FixedOnTime():
            ints[hk.CONTROL], floats[hk.T_EDGE] = hk.TIMED_OFF, 0.0
        case PeakCurrent():
            ints[hk.CONTROL], floats[hk.T_EDGE] = hk.SWITCH_OFF, 0.0
        case NoControl() | Governed():
            pass
