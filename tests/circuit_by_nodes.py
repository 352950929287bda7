"""A circuit by its node voltages and a general integrator: another way to the same answer, plain and slow.

Every part is written as a conductance with a source, node voltages are solved
for at every call, and Dormand-Prince 8(5,3) carries the states from event to
event. Peaks are read from the integrator's own interpolation.
"""

from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import minimize_scalar

from gapwright.circuit.network.elements import (
    Capacitor,
    Diode,
    Element,
    Gap,
    Inductor,
    Resistor,
    VoltageSource,
)
from gapwright.circuit.network.netlist import Netlist

FINE = 24
"""Points of a step at which a peak is looked for."""


@dataclass(slots=True, kw_only=True, eq=False)
class ByNodes:
    """State and record of a circuit that is carried by its node voltages."""

    netlist: Netlist
    strikes_at: float
    conducting: list[bool] = field(default_factory=list)
    burning: bool = False
    rising: bool = False
    ready_at: float = 0.0
    sparks: list[float] = field(default_factory=list)
    flips: int = 0
    peaks: dict[str, float] = field(default_factory=dict)
    """Highest voltage of each capacitor and current of each coil, their resistances included."""
    matrices: dict[tuple, np.ndarray] = field(default_factory=dict)
    sources: dict[str, float] = field(init=False)
    free: list[str] = field(init=False)
    capacitors: tuple[Capacitor, ...] = field(init=False)
    coils: tuple[Inductor, ...] = field(init=False)
    stores: tuple[Capacitor | Inductor, ...] = field(init=False)

    def __post_init__(self) -> None:
        self.sources = {p.start: p.volts for p in self.netlist.of(VoltageSource)}
        self.free = [n for n in self.netlist.nodes if n not in self.sources]
        self.conducting = [False] * len(self.netlist.of(Diode))
        self.capacitors, self.coils = self.netlist.of(Capacitor), self.netlist.of(Inductor)
        self.stores = self.netlist.states

    def _branch(self, part: Element, y: np.ndarray) -> tuple[float, float]:
        """Conductance and source current of a part: i = g v + s."""
        if isinstance(part, Resistor):
            return 1.0 / part.ohms, 0.0
        if isinstance(part, Capacitor):
            g = 1.0 / part.series_ohms
            return g, -g * y[self.capacitors.index(part)]
        if isinstance(part, Inductor):
            own = y[len(self.capacitors) + self.coils.index(part)]
            return (1.0 / part.damper_ohms if part.damper_ohms else 0.0), own
        return self._switching_branch(part)

    def _switching_branch(self, part: Element) -> tuple[float, float]:
        """The same of a diode or the gap."""
        if isinstance(part, Diode):
            if self.conducting[self.netlist.of(Diode).index(part)]:
                return 1.0 / part.on_ohms, -part.drop_volts / part.on_ohms
            return 1.0 / part.off_ohms, 0.0
        if isinstance(part, Gap):
            if self.burning:
                return 1.0 / part.arc_ohms, -part.arc_volts / part.arc_ohms
            return part.leak_siemens, 0.0
        raise TypeError(part)

    def _solved(self, y: np.ndarray) -> tuple[dict[str, float], dict[str, float]]:
        """Voltage and current of each part."""
        n = len(self.free)
        left, right = np.zeros((n, n)), np.zeros(n)
        place = {node: k for k, node in enumerate(self.free)}
        branches = {
            p.name: (p, *self._branch(p, y))
            for p in self.netlist.elements
            if not isinstance(p, VoltageSource)
        }
        known = {**self.sources, "0": 0.0}
        for part, g, s in branches.values():
            for node, other, sign in ((part.start, part.end, 1.0), (part.end, part.start, -1.0)):
                if node not in place:
                    continue
                left[place[node], place[node]] += g
                right[place[node]] -= sign * s
                if other in place:
                    left[place[node], place[other]] -= g
                else:
                    right[place[node]] += g * known[other]
        node_volts = {**known, **dict(zip(self.free, np.linalg.solve(left, right), strict=True))}
        volts = {p.name: node_volts[p.start] - node_volts[p.end] for p in self.netlist.elements}
        return volts, {name: g * volts[name] + s for name, (_, g, s) in branches.items()}

    def _matrix(self) -> np.ndarray:
        """Voltages, then currents, of all parts over the state and a constant 1."""
        key = (tuple(self.conducting), self.burning)
        if key not in self.matrices:
            states = len(self.capacitors) + len(self.coils)

            def flat(y: np.ndarray) -> np.ndarray:
                volts, amperes = self._solved(y)
                names = self.netlist.names
                return np.array([volts[n] for n in names] + [amperes.get(n, 0.0) for n in names])

            rest = flat(np.zeros(states))
            columns = [flat(one) - rest for one in np.eye(states)]
            self.matrices[key] = np.array([*columns, rest]).T
        return self.matrices[key]

    def row(self, quantity: str, name: str) -> np.ndarray:
        """Voltage or current of a part over the state and a constant 1."""
        shift = 0 if quantity == "volts" else len(self.netlist.names)
        return self._matrix()[self.netlist.names.index(name) + shift]

    def volts_and_amperes(self, y: np.ndarray) -> tuple[dict[str, float], dict[str, float]]:
        """Voltage and current of each part."""
        names, states = self.netlist.names, len(self.capacitors) + len(self.coils)
        flat = self._matrix() @ np.append(y[:states], 1.0)
        return dict(zip(names, flat, strict=False)), dict(zip(names, flat[len(names) :], strict=True))

    def rates(self, _: float, y: np.ndarray) -> np.ndarray:
        """Rates of capacitor voltages and coil currents, and the power out of the source."""
        volts, amperes = self.volts_and_amperes(y)
        rate = [amperes[c.name] / c.farads for c in self.capacitors]
        rate += [volts[c.name] / c.henries for c in self.coils]
        drawn = 0.0
        for source in self.netlist.of(VoltageSource):
            for p in self.netlist.elements:
                if p is not source and source.start in (p.start, p.end):
                    drawn += source.volts * amperes[p.name] * (1.0 if p.start == source.start else -1.0)
        return np.array([*rate, drawn])

    def conditions(self) -> list["Condition"]:
        """Functions that turn negative when something must happen."""
        found = []
        for k, diode in enumerate(self.netlist.of(Diode)):
            if self.conducting[k]:
                found.append(Condition(self, "amperes", diode.name, 1.0, 1e-9))
            else:
                found.append(Condition(self, "volts", diode.name, -1.0, diode.drop_volts + 1e-9))
        gap = self.netlist.gap
        if gap is not None and not self.burning:
            found.append(Condition(self, "volts", gap.name, -1.0, self.strikes_at))
        elif gap is not None and self.rising:
            found.append(Condition(self, "amperes", gap.name, -1.0, gap.hold_amperes + 1e-6))
        elif gap is not None:
            found.append(Condition(self, "amperes", gap.name, 1.0, -gap.hold_amperes))
        return found

    def _happen(self, which: int, t: float) -> None:
        diodes = len(self.conducting)
        if which < diodes:
            self.conducting[which] = not self.conducting[which]
            self.flips += 1
        elif not self.burning:
            self.burning, self.rising = True, True
            self.sparks.append(t)
        elif self.rising:
            self.rising = False
        else:
            self.burning = False
            self.ready_at = t + self.netlist.gap.recovery_seconds

    def _settle(self, t: float, y: np.ndarray) -> None:
        """Let happen all that is due at once."""
        for _ in range(50):
            due = [float(c(t, y)) for c in self.conditions()]
            if t < self.ready_at and not self.burning:
                due = due[: len(self.conducting)]
            worst = int(np.argmin(due)) if due else 0
            if not due or due[worst] >= 0.0:
                return
            self._happen(worst, t)
        raise RuntimeError("the circuit flips without end")

    def _note(self, course) -> None:
        """Take in peaks between the points of the integrator."""
        times = np.concatenate(
            [np.linspace(a, b, FINE, endpoint=False) for a, b in pairwise(course.t)] + [course.t[-1:]]
        )
        states = len(self.capacitors) + len(self.coils)
        for part in self.stores:
            row = self.row("volts" if isinstance(part, Capacitor) else "amperes", part.name)
            values = row[:-1] @ course.sol(times)[:states] + row[-1]
            k = int(np.argmax(values))
            best = float(values[k])
            if 0 < k < len(times) - 1 and best > self.peaks.get(part.name, 0.0):
                found = minimize_scalar(
                    lambda t, row=row: -float(row[:-1] @ course.sol(t)[:states] + row[-1]),
                    bounds=(times[k - 1], times[k + 1]),
                    method="bounded",
                    options={"xatol": 1e-6 * (times[k + 1] - times[k - 1])},
                )
                best = max(best, -float(found.fun))
            self.peaks[part.name] = max(self.peaks.get(part.name, 0.0), best)

    def carried(self, span: float, *, longest: float) -> np.ndarray:
        """State at the end: capacitors, coils, energy drawn."""
        y, t = np.zeros(len(self.capacitors) + len(self.coils) + 1), 0.0
        self._settle(t, y)
        while t < span:
            stop = min(span, self.ready_at) if t < self.ready_at else span
            events = self.conditions()
            if t < self.ready_at and not self.burning:
                events = events[: len(self.conducting)]
            course = solve_ivp(
                self.rates,
                (t, stop),
                y,
                method="DOP853",
                rtol=1e-10,
                atol=1e-13,
                events=events or None,
                dense_output=True,
                max_step=longest,
            )
            self._note(course)
            t, y = float(course.t[-1]), course.y[:, -1]
            if course.status == 1:
                which = next(k for k, times in enumerate(course.t_events) if len(times))
                self._happen(which, t)
            self._settle(t, y)
        return y


class Condition:
    """A quantity with its sign and offset; the integrator stops where it turns negative."""

    terminal = True
    direction = -1.0

    def __init__(self, hand: ByNodes, quantity: str, name: str, sign: float, offset: float) -> None:
        self.row = hand.row(quantity, name)
        self.sign, self.offset = sign, offset

    def __call__(self, _: float, y: np.ndarray) -> float:
        return self.sign * float(self.row[:-1] @ y[: len(self.row) - 1] + self.row[-1]) + self.offset
