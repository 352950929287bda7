"""Circuit as a deck for ngspice, so that anybody can run it in a program that is not ours.

Every part becomes the nearest thing such a program has: a diode is a steep
exponential behind its constant drop, a transistor a switch that a pulse or a
small comparator works, the gap a switch behind a source of the burning
voltage. The deck closes by printing `drawn`, the energy out of all sources,
and `discharge`, the energy into the burning gap, in joules.
"""

from gapwright.base.checks import require_positive
from gapwright.base.errors import InputRefused
from gapwright.base.units import Seconds
from gapwright.circuit.control import Control, FixedOnTime, NoControl, PeakCurrent
from gapwright.circuit.deck_parts import drive_lines, label, labels, number, part_lines
from gapwright.circuit.elements import CurrentSource, Diode, Gap, Switch, VoltageSource
from gapwright.circuit.governor import Governed
from gapwright.circuit.ignition import Ignition, Never, Threshold
from gapwright.circuit.netlist import Netlist

NEVER = Never()
LONGEST_STEP = 5e-8
"""Longest step allowed; a discharge of a microsecond needs no less. [s]"""


def deck(
    netlist: Netlist,
    control: Control,
    *,
    duration: Seconds,
    ignition: Ignition = NEVER,
    longest_step: Seconds = LONGEST_STEP,
    title: str = "spark generator",
) -> str:
    """Deck of a circuit that starts with everything at zero.

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
        if isinstance(ignition, Threshold) and ignition.volts <= gap.arc_volts:
            raise InputRefused(
                f"the threshold must be above the burning voltage of {gap.arc_volts:g} V, "
                f"got {ignition.volts:g} V; the gap would never go out"
            )
    names = labels(netlist)
    if isinstance(control, Governed):
        raise InputRefused(
            "a deck must have a control that is a clock or a current limit, got governors; run it here"
        )
    driven = "" if isinstance(control, NoControl) else control.switch
    lines = [f"* {' '.join(title.split())}", *_remarks(control, ignition)]
    for part in netlist.elements:
        lines += [f"* {part.stage}: {part.name}"]
        lines += part_lines(part, netlist, ignition, driven=isinstance(part, Switch) and part.name == driven)
    lines += drive_lines(netlist, control, names)
    return "\n".join([*lines, *_run_lines(netlist, names, duration, longest_step), ""])


def _remarks(control: NoControl | FixedOnTime | PeakCurrent, ignition: Ignition) -> list[str]:
    remarks = ["* Run it with: ngspice -b FILE"]
    if isinstance(ignition, Threshold):
        where = f"node {ignition.node}" if ignition.node else "the gap"
        remarks.append(f"* The gap strikes when {where} exceeds {number(ignition.volts)} V.")
    match control:
        case NoControl():
            return remarks
        case FixedOnTime():
            on, period = number(control.on_time), number(control.period)
            return [*remarks, f"* {control.switch}: closed for {on} s of every {period} s."]
        case PeakCurrent():
            limit, least = number(control.limit), number(control.minimum_off_time)
            return [
                *remarks,
                f"* {control.switch}: opens at {limit} A, stays open for at least {least} s,",
                f"* and until the store has come down from {number(control.voltage_limit)} V.",
            ]


def _run_lines(
    netlist: Netlist, names: dict[str, str], duration: Seconds, longest_step: Seconds
) -> list[str]:
    """Options, run and measured energies; diodes want the more damped of the two methods."""
    method = "gear maxord=2" if netlist.of(Diode) else "trap"
    watched, drawn = _drawn(netlist, names)
    lines = [
        f".options reltol=1e-3 method={method}",
        ".control",
        "set noaskquit",
        f"save {' '.join(watched)}",
        f"tran {number(10.0 * longest_step)} {number(duration)} 0 {number(longest_step)} uic",
        f"let power = {drawn}",
        "meas tran drawn integ power",
    ]
    for gap in netlist.of(Gap):
        arc = f"i(V{label(gap.name)}_arc)"
        lines += [
            f"let burning = {number(gap.arc_volts)}*{arc} + {number(gap.arc_ohms)}*{arc}*{arc}",
            "meas tran discharge integ burning",
        ]
    return [*lines, "quit", ".endc", ".end"]


def _drawn(netlist: Netlist, names: dict[str, str]) -> tuple[list[str], str]:
    """What must be kept of a run, and the power out of all sources."""
    watched, terms = [f"i(V{label(gap.name)}_arc)" for gap in netlist.of(Gap)], []
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
