"""The step-up generator of `two_generators` as equations written by hand, carried by a general integrator.

Blocked parts let nothing through. The states are coil current, store voltage
and lead current; behind them run the energy drawn, the charge of the arc and
the loss in all resistances.
"""

from collections.abc import Callable
from time import perf_counter

import numpy as np
from scipy.integrate import solve_ivp

VIN, RS, L = 12.0, 0.1, 47e-6
R_ON, VF, RD = 0.02, 0.7, 0.03
C, ESR, LEAD = 100e-6, 0.02, 200e-9
VA, RA, STRIKES = 20.0, 0.05, 60.0
PERIOD, ON = 25e-6, 12e-6
Rates = Callable[[float, np.ndarray], list[float]]
Event = Callable[[float, np.ndarray], float]


def rates_of(*, closed: bool, conducting: bool, burning: bool) -> Rates:
    """Rates of one mode."""

    def rates(_: float, y: np.ndarray) -> list[float]:
        i, v, j = y[0], y[1], y[2]
        feed = i if conducting else 0.0
        out = v + ESR * (feed - j)
        if closed:
            di = (VIN - (RS + R_ON) * i) / L
        else:
            di = (VIN - VF - (RS + RD) * i - out) / L if conducting else 0.0
        dj = (out - VA - RA * j) / LEAD if burning else 0.0
        own = RS + (R_ON if closed else RD)
        loss = own * i * i + ESR * (feed - j) ** 2 + RA * j * j
        return [di, (feed - j) / C, dj, VIN * i, j, loss]

    return rates


def events_of(*, conducting: bool, burning: bool) -> list[Event]:
    """What ends a mode before the clock does: the diode, then the gap."""

    def diode(_: float, y: np.ndarray) -> float:
        return float(y[0])

    def gap(_: float, y: np.ndarray) -> float:
        return float(y[2]) if burning else float(STRIKES - y[1] - ESR * (y[0] if conducting else 0.0))

    found: list[Event] = [diode, gap] if conducting else [gap]
    for event in found:
        event.terminal, event.direction = True, -1.0  # type: ignore[attr-defined]
    return found


def integrated(span: float) -> tuple[float, float, float]:
    """Seconds it takes, energy drawn and energy that the arc's 20 V take."""
    start = perf_counter()
    y, t, edges = np.zeros(6), 0.0, 0
    closed, conducting, burning = False, False, False
    while t < span:
        edge = (edges // 2) * PERIOD + (ON if edges % 2 else 0.0)
        if t >= edge:
            closed, edges = not closed, edges + 1
            conducting = not closed and y[0] > 0.0
            continue
        if not burning and y[1] + ESR * (y[0] if conducting else 0.0) > STRIKES:
            burning = True
        done = solve_ivp(
            rates_of(closed=closed, conducting=conducting, burning=burning),
            (t, min(edge, span)),
            y,
            method="DOP853",
            rtol=1e-9,
            atol=1e-12,
            events=events_of(conducting=conducting, burning=burning),
        )
        t, y = float(done.t[-1]), done.y[:, -1]
        if done.status == 1:
            if conducting and len(done.t_events[0]):
                conducting, y[0] = False, 0.0
            else:
                burning, y[2] = not burning, 0.0
    return perf_counter() - start, float(y[3]), VA * float(y[4])
