"""A relaxation generator as equations written by hand, carried by a general integrator."""

from dataclasses import dataclass, field
from typing import Any

import numpy as np
from scipy.integrate import solve_ivp

State = np.ndarray
STORE, LEAD, DRAWN, CHARGING, CHARGE, ACTION = range(6)
"""States: store voltage and lead current; energy drawn, heat of the resistor; arc's charge and action."""


@dataclass(slots=True, kw_only=True)
class RelaxationByHand:
    """Source, charging resistor, store with series resistance, lead, arc of constant drop and resistance."""

    supply: float
    charging: float
    farads: float
    series: float
    henries: float
    loop_ohms: float
    """Of lead and arc together."""
    arc_volts: float
    strikes_at: float
    hold: float
    sparks: list[tuple[float, float, float]] = field(default_factory=list)
    """Begin, end and peak current of each discharge."""

    def node(self, y: State, j: float) -> float:
        """Voltage of the store, series resistance included."""
        feed = (self.supply - y[STORE] + self.series * j) / (self.charging + self.series)
        return float(y[STORE] + self.series * (feed - j))

    def open_rates(self, _: float, y: State) -> list[float]:
        """Rates while the gap is open."""
        feed = (self.supply - self.node(y, 0.0)) / self.charging
        return [feed / self.farads, 0.0, self.supply * feed, self.charging * feed**2, 0.0, 0.0]

    def arc_rates(self, _: float, y: State) -> list[float]:
        """Rates while it burns."""
        j = y[LEAD]
        node = self.node(y, j)
        feed = (self.supply - node) / self.charging
        dj = (node - self.arc_volts - self.loop_ohms * j) / self.henries
        return [(feed - j) / self.farads, dj, self.supply * feed, self.charging * feed**2, j, j * j]

    def events(self, *, burning: bool) -> list[Any]:
        """What ends the present state, and for the arc also the turning of its current."""

        def strikes(_: float, y: State) -> float:
            return self.strikes_at - self.node(y, 0.0)

        def dies(_: float, y: State) -> float:
            return float(y[LEAD] - self.hold)

        def turns(t: float, y: State) -> float:
            return self.arc_rates(t, y)[LEAD]

        found = [dies, turns] if burning else [strikes]
        for event in found:
            event.terminal, event.direction = event is not turns, -1.0  # type: ignore[attr-defined]
        return found

    def carried(self, span: float) -> State:
        """State after a time from rest; discharges that ended are kept in `sparks`."""
        y, t, burning, begun = np.zeros(6), 0.0, False, 0.0
        while t < span:
            done = solve_ivp(
                self.arc_rates if burning else self.open_rates,
                (t, span),
                y,
                method="DOP853",
                rtol=1e-10,
                atol=1e-16,
                events=self.events(burning=burning),
            )
            t, y = float(done.t[-1]), done.y[:, -1].copy()
            if done.status == 1 and burning:
                self.sparks.append((begun, t, float(done.y_events[1][0][LEAD])))
                y[LEAD] = 0.0
            begun, burning = t, not burning
        return y
