"""How a part's voltage or current, or a node's voltage, is mixed of the rows that a run watches.

The rows are the currents of all parts, then their voltages. A node's voltage
is the sum of the voltages of the parts along any way from it to ground.
"""

import numpy as np

from gapwright.base.checks import close_names
from gapwright.base.errors import InputRefused
from gapwright.circuit.network.mna import Rows
from gapwright.circuit.network.netlist import GROUND, Netlist


def part_mix(netlist: Netlist, quantity: str, part: str) -> Rows:
    """Mix of a part's "volts" or "amperes".

    Raises
    ------
    InputRefused
        If there is no such part or quantity.
    """
    names = netlist.names
    if part not in names:
        raise InputRefused(f"the circuit has no part {part!r}{close_names(part, names)}")
    if quantity not in ("volts", "amperes"):
        raise InputRefused(f'a waveform must be of "volts" or "amperes", got {quantity!r}')
    mix = np.zeros(2 * len(names))
    mix[names.index(part) + (len(names) if quantity == "volts" else 0)] = 1.0
    return mix


def node_mix(netlist: Netlist, node: str) -> Rows:
    """Mix of a node's voltage against ground.

    Raises
    ------
    InputRefused
        If there is no such node.
    """
    nodes = netlist.nodes
    if node not in nodes:
        raise InputRefused(f"the circuit has no node {node!r}{close_names(node, nodes)}")
    count = len(netlist.elements)
    found: dict[str, Rows] = {GROUND: np.zeros(2 * count)}
    while node not in found:
        for number, part in enumerate(netlist.elements):
            for near, far, sign in ((part.end, part.start, 1.0), (part.start, part.end, -1.0)):
                if near in found and far not in found:
                    found[far] = found[near].copy()
                    found[far][count + number] += sign
    return found[node]
