"""What a circuit remembers, and the scale on which its energy is half a square.

The state of a run is scaled: the root of capacitance times voltage, of
inductance times current, for coils on one core by the root of the matrix of
their inductances. Behind these stand the charges held in diodes and the
counters of charge, which carry no energy, and a constant 1.
"""

from functools import lru_cache

import numpy as np

from gapwright.base.errors import InputRefused
from gapwright.circuit.network import magnetics
from gapwright.circuit.network.elements import Capacitor, Inductor
from gapwright.circuit.network.magnetics import Rows
from gapwright.circuit.network.netlist import Netlist

COUNTER_SECONDS = 10.0
"""Time in which a counter of charge forgets. [s]"""
STORED_SHARE = 0.01
"""Scaled charge of a diode over its current."""


def inductances(netlist: Netlist) -> Rows:
    """Matrix of the inductances of all coils, in order.

    Raises
    ------
    InputRefused
        If the couplings are more than coils can have together.
    """
    coils = netlist.of(Inductor)
    place = {coil.name: k for k, coil in enumerate(coils)}
    matrix = np.diag([coil.henries for coil in coils])
    for c in netlist.couplings:
        i, j = place[c.first], place[c.second]
        matrix[i, j] = matrix[j, i] = c.coefficient * np.sqrt(coils[i].henries * coils[j].henries)
    if len(coils) and np.linalg.eigvalsh(matrix).min() <= 0.0:
        names = ", ".join(sorted({name for c in netlist.couplings for name in (c.first, c.second)}))
        raise InputRefused(
            f"the couplings among {names} must leave each coil some flux of its own, got more than they can "
            "share; lower a coefficient"
        )
    return np.asarray(matrix, dtype=float)


@lru_cache(maxsize=512)
def values_of_state(netlist: Netlist) -> Rows:
    """(m, m) voltages, currents, charges and the constant from the scaled state.

    The value of a coil that saturates is its flux over its first inductance.
    """
    capacitors = [part.farads for part in netlist.of(Capacitor)]
    n, m = len(capacitors), len(netlist.state_names) + 1
    matrix = np.eye(m)
    matrix[:n, :n] = np.diag(1.0 / np.sqrt(capacitors))
    coils = len(netlist.of(Inductor))
    if coils:
        root = np.linalg.cholesky(inductances(netlist))
        matrix[n : n + coils, n : n + coils] = np.linalg.inv(root).T
    for k, diode in enumerate(netlist.storing):
        matrix[n + coils + k, n + coils + k] = diode.storage_seconds / STORED_SHARE
    matrix.setflags(write=False)
    return matrix


@lru_cache(maxsize=512)
def state_scale(netlist: Netlist) -> Rows:
    """Scaled state over value, for circuits whose coils are not coupled; 1 for the constant."""
    scale: Rows = 1.0 / np.diag(values_of_state(netlist))
    scale.setflags(write=False)
    return scale


def scaled_state(netlist: Netlist, values: dict[str, float]) -> Rows:
    """State of a circuit that holds these voltages, currents and charges, the rest at zero."""
    given = np.zeros(len(netlist.state_names) + 1)
    given[-1] = 1.0
    coils = {coil.name: coil for coil in netlist.of(Inductor)}
    for k, name in enumerate(netlist.state_names):
        value = values.get(name, 0.0)
        coil = coils.get(name)
        given[k] = value if coil is None else magnetics.flux_of_current(coil.henries, coil.pieces, value)
    return np.asarray(np.linalg.solve(values_of_state(netlist), given), dtype=float)


def values_in(netlist: Netlist, state: Rows) -> dict[str, float]:
    """Voltage of each capacitor, current of each coil and charge of each diode and counter."""
    values = values_of_state(netlist) @ state
    found = {name: float(values[k]) for k, name in enumerate(netlist.state_names)}
    for coil in netlist.of(Inductor):
        found[coil.name] = magnetics.current_of_flux(coil.henries, coil.pieces, found[coil.name])
    return found


def energy_in(netlist: Netlist, state: Rows) -> float:
    """Energy that all capacitors and coils hold, in joules."""
    held = 0.5 * float(state[: len(netlist.states)] @ state[: len(netlist.states)])
    values = values_of_state(netlist) @ state
    for k, part in enumerate(netlist.states):
        if isinstance(part, Inductor) and part.pieces:
            flux = float(values[k])
            held += magnetics.stored_energy(part.henries, part.pieces, flux) - 0.5 * part.henries * flux**2
    return held
