"""Lines of a deck for what works its switches by a clock or a current limit."""

from gapwright.circuit.control.control import FixedOnTime, NoControl, PeakCurrent
from gapwright.circuit.deck.deck_sight import current, number
from gapwright.circuit.network.netlist import Netlist

DRIVE = "drive_"
"""Node that is at 1 V while the controlled switch is to be closed; no other name ends so."""
EDGE = 10e-9
"""Rise and fall of the drive of a clocked switch. [s]"""
SLACK = 1e-4
"""Hysteresis of the comparator of a current limit, as a share of the limit."""


def drive_lines(
    netlist: Netlist, control: NoControl | FixedOnTime | PeakCurrent, nodes: dict[str, str]
) -> list[str]:
    """Lines that bring the node of the drive to 1 V while the switch is to be closed."""
    match control:
        case NoControl():
            return []
        case FixedOnTime():
            times = (EDGE, EDGE, control.on_time - EDGE, control.period)
            pulse = " ".join(number(value) for value in (0.0, 1.0, 0.0, *times))
            return ["* control: a clock", f"Vdrive_ {DRIVE} 0 pulse({pulse})"]
        case PeakCurrent():
            return _comparator_lines(netlist, control, nodes)


def _comparator_lines(netlist: Netlist, control: PeakCurrent, nodes: dict[str, str]) -> list[str]:
    """Latch that the coil's current opens, and that a timer closes unless the store is full.

    The timer rises to 1 V in the least off-time, and is held at zero while
    the switch is closed or the coil carries the limit or more. It starts at
    1 V: the first closing waits for nothing.
    """
    coil, limit = current(netlist, netlist.coil), number(control.limit)
    store = netlist.element(netlist.store)
    full, band = 0.5 * (control.voltage_limit + control.release), 0.5 * control.hysteresis
    return [
        "* control: a current limit",
        f"Bwish_ wish_ 0 v=v({DRIVE}) > 0.5 ? 1-{coil}/{limit} : (v(full_) > 0.5 ? -1 : v(timer_)-1)",
        "Vone_ one_ 0 1",
        f"Slatch_ one_ {DRIVE} wish_ 0 latch_model off",
        f".model latch_model sw(vt=0 vh={number(SLACK)} ron=1 roff=1e9)",
        f"Rlatch_ {DRIVE} 0 1000",
        f"Clatch_ {DRIVE} 0 1p ic=0",
        "Itimer_ 0 timer_ 1",
        f"Ctimer_ timer_ 0 {number(control.minimum_off_time)} ic=1",
        "Sreset_ timer_ 0 reset_ 0 reset_model off",
        ".model reset_model sw(vt=0.5 vh=0 ron=1m roff=1e9)",
        f"Breset_ reset_ 0 v=v({DRIVE})+({coil} > {limit} ? 1 : 0)",
        f"Sfull_ one_ full_ {nodes[store.start]} {nodes[store.end]} full_model off",
        f".model full_model sw(vt={number(full)} vh={number(band)} ron=1 roff=1e9)",
        "Rfull_ full_ 0 1000",
    ]
