"""Circuit as a deck for ngspice, so that anybody can run it in a program that is not ours.

Every part becomes the nearest thing such a program has: a diode is a steep
exponential behind its constant drop, a transistor a switch that a pulse or a
small comparator works, the phase of a governor a node at 1 V, the gap a
switch behind a source of the burning voltage. The deck closes by printing
`drawn`, the energy out of all sources, and `discharge`, the energy into the
burning or shorted gap, in joules, then the greatest current of the gap and
the highest voltage of the store.
"""

from gapwright.base.checks import require_positive
from gapwright.base.errors import InputRefused
from gapwright.base.units import Seconds
from gapwright.circuit.control.control import Control, FixedOnTime, NoControl, PeakCurrent
from gapwright.circuit.control.governor import Governed
from gapwright.circuit.control.ignition import Ignition, Never, Threshold
from gapwright.circuit.deck.deck_coils import coupling_line
from gapwright.circuit.deck.deck_control import DRIVE, drive_lines
from gapwright.circuit.deck.deck_governors import governor_lines, governor_parts, governor_switches
from gapwright.circuit.deck.deck_parts import Drawing, part_lines
from gapwright.circuit.deck.deck_sight import current, label, labels, number, voltage
from gapwright.circuit.engine.arrays import Start
from gapwright.circuit.network.elements import CurrentSource, Diode, Gap, VoltageSource
from gapwright.circuit.network.mna import GapState
from gapwright.circuit.network.netlist import Netlist

NEVER = Never()
AT_REST = Start()
LONGEST_STEP = 5e-8
"""Longest step allowed; a discharge of a microsecond needs no less. [s]"""


def deck(  # noqa: PLR0913 - all that a deck is asked for stands in one call
    netlist: Netlist,
    control: Control,
    *,
    duration: Seconds,
    ignition: Ignition = NEVER,
    longest_step: Seconds = LONGEST_STEP,
    start: Start = AT_REST,
    title: str = "spark generator",
) -> str:
    """Deck of a circuit that starts from a state, at first with everything at zero.

    Parameters
    ----------
    netlist
        The circuit.
    control
        What works its switch.
    duration
        Time to run, above 0. [s]
    ignition
        A threshold, or nothing: the program knows no chance.
    longest_step
        Longest step the program may take, above 0; energies are wrong by
        percents where it is longer than a tenth of a discharge. [s]
    start
        What its parts hold at first; a gap that is shorted stays so.
    title
        First line of the deck.

    Returns
    -------
    deck
        Its text, closed by a line end.

    Raises
    ------
    InputRefused
        If the ignition is neither a threshold nor nothing, its threshold
        is not above the burning voltage, or two names of parts or nodes are
        one in the deck.
    """
    require_positive("duration", duration, "s")
    require_positive("longest_step", longest_step, "s")
    if not isinstance(ignition, Never | Threshold):
        raise InputRefused(
            f"a deck must ignite at a threshold or never, got {type(ignition).__name__}; give a voltage"
        )
    for gap in netlist.of(Gap):
        if gap.restrike_volts:
            raise InputRefused(
                f"a deck must have a gap that strikes one way, got {gap.name} that strikes again when the "
                "ring turns; leave restrike_voltage out"
            )
        if isinstance(ignition, Threshold) and ignition.volts <= gap.arc_volts:
            raise InputRefused(
                f"the threshold must be above the burning voltage of {gap.arc_volts:g} V, "
                f"got {ignition.volts:g} V; the gap would never go out"
            )
    names = labels(netlist)
    drawing = Drawing(
        netlist=netlist,
        ignition=ignition,
        drives=_drives(control),
        metered=_metered(netlist, control),
        start=start,
    )
    lines = [f"* {' '.join(title.split())}", *_remarks(control, ignition)]
    for part in netlist.elements:
        lines += [f"* {part.stage}: {part.name}", *part_lines(part, drawing)]
    lines += [coupling_line(coupling) for coupling in netlist.couplings]
    if isinstance(control, Governed):
        lines += governor_lines(control, netlist, start)
    else:
        lines += drive_lines(netlist, control, names)
    return "\n".join([*lines, *_run_lines(netlist, names, start, duration, longest_step), ""])


def _drives(control: Control) -> dict[str, str]:
    """Node that works each switch."""
    match control:
        case NoControl():
            return {}
        case Governed():
            return governor_switches(control)
        case _:
            return {control.switch: DRIVE}


def _metered(netlist: Netlist, control: Control) -> frozenset[str]:
    """Parts whose current the control looks at."""
    return governor_parts(control, netlist) if isinstance(control, Governed) else frozenset()


def _remarks(control: Control, ignition: Ignition) -> list[str]:
    remarks = ["* Run it with: ngspice -b FILE"]
    if isinstance(ignition, Threshold):
        where = f"node {ignition.node}" if ignition.node else "the gap"
        remarks.append(f"* The gap strikes when {where} exceeds {number(ignition.volts)} V.")
    match control:
        case NoControl():
            return remarks
        case Governed():
            return [
                *remarks,
                *(f"* Governor {g.name}: {', '.join(p.name for p in g.phases)}." for g in control.governors),
            ]
        case FixedOnTime():
            on, period = number(control.on_time), number(control.period)
            return [*remarks, f"* {control.switch}: closed for {on} s of every {period} s."]
        case PeakCurrent():
            limit, least = number(control.limit), number(control.minimum_off_time)
            return [
                *remarks,
                f"* {control.switch}: opens at {limit} A, stays open for at least {least} s,",
                f"* and from {number(control.voltage_limit)} V of the store on until it has come down by "
                f"{number(control.hysteresis)} V.",
            ]


def _run_lines(
    netlist: Netlist, names: dict[str, str], start: Start, duration: Seconds, longest_step: Seconds
) -> list[str]:
    """Options, run and measured energies; diodes want the more damped of the two methods."""
    method = "gear maxord=2" if netlist.of(Diode) else "trap"
    kept, drawn = _drawn(netlist, names)
    lines, read = _gap_energies(netlist, start), []
    if netlist.store:
        read.append(f"meas tran store_peak max {_as_vector(netlist.store)}")
        lines.insert(0, f"let {_as_vector(netlist.store)} = {voltage(netlist, netlist.store)}")
    return [
        f".options reltol=1e-3 method={method}",
        ".control",
        "set noaskquit",
        f"save {' '.join(dict.fromkeys([*kept, *_looked_at(netlist, names, start)]))}",
        f"tran {number(10.0 * longest_step)} {number(duration)} 0 {number(longest_step)} uic",
        f"let power = {drawn}",
        "meas tran drawn integ power",
        *lines,
        *read,
        "quit",
        ".endc",
        ".end",
    ]


def _as_vector(name: str) -> str:
    """What the voltage of a part is called among the results."""
    return f"volts_{label(name)}"


def _gap_energies(netlist: Netlist, start: Start) -> list[str]:
    """Energy and greatest current of the gap, burning or shorted."""
    lines = []
    for gap in netlist.of(Gap):
        short = start.gap is GapState.SHORT
        flow = current(netlist, gap.name, start.gap) if short else f"i(V{label(gap.name)}_arc)"
        volts, ohms = (0.0, gap.short_ohms) if short else (gap.arc_volts, gap.arc_ohms)
        lines += [
            f"let flow = {flow}",
            f"let burning = {number(volts)}*flow + {number(ohms)}*flow*flow",
            "meas tran discharge integ burning",
            "meas tran gap_peak max flow",
        ]
    return lines


def _looked_at(netlist: Netlist, names: dict[str, str], start: Start) -> list[str]:
    """What must be kept of a run beside what the sources deliver."""
    nodes: list[str] = []
    for gap in netlist.of(Gap):
        if start.gap is GapState.SHORT:
            nodes += [gap.start, gap.end]
    if netlist.store:
        store = netlist.element(netlist.store)
        nodes += [store.start, store.end]
    return [f"v({names[node]})" for node in nodes if names[node] != "0"] + (
        [] if start.gap is GapState.SHORT else [f"i(V{label(gap.name)}_arc)" for gap in netlist.of(Gap)]
    )


def _drawn(netlist: Netlist, names: dict[str, str]) -> tuple[list[str], str]:
    """What must be kept of a run, and the power out of all sources."""
    watched: list[str] = []
    terms: list[str] = []
    for source in netlist.of(VoltageSource):
        flow = f"i(V{label(source.name)})"
        watched.append(flow)
        terms.append(f"{number(-source.volts)}*{flow}")
    for feed in netlist.of(CurrentSource):
        ends = [
            (sign, names[node]) for sign, node in ((1.0, feed.end), (-1.0, feed.start)) if names[node] != "0"
        ]
        watched += [f"v({node})" for _, node in ends]
        terms += [f"{number(sign * feed.amperes)}*v({node})" for sign, node in ends]
    return watched, " + ".join(terms) or "0"
