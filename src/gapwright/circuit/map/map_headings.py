"""Headings of the ledger of a circuit, as a charge map books them."""

from gapwright.circuit.network.elements import Gap
from gapwright.circuit.network.netlist import Netlist

Heading = tuple[str, str, str]
"""Stage, account and role."""


def headings_of(netlist: Netlist) -> tuple[Heading, ...]:
    """Headings of the ledger of a circuit, in order of its parts."""
    found: dict[Heading, None] = {}
    for part in netlist.elements:
        role = "in" if part.account in given_accounts(netlist) else "out"
        if isinstance(part, Gap):
            for account in ("leakage", part.account, "short circuit"):
                found[part.stage, account, "out"] = None
        else:
            found[part.stage, part.account, role] = None
    return tuple(found)


def given_accounts(netlist: Netlist) -> set[str]:
    """Headings under which energy comes in."""
    return {
        part.account for part in netlist.elements if type(part).__name__ in {"VoltageSource", "CurrentSource"}
    }
