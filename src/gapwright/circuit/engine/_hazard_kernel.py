"""When a random ignition falls due: the integral of a hazard that grows as a power of gap voltage."""

import math

from gapwright.base.compiled import compiled_in_place
from gapwright.circuit.engine._peak_kernel import value_at

NODE_1, NODE_2 = 0.3399810435848563, 0.8611363115940526
WEIGHT_1, WEIGHT_2 = 0.6521451548625461, 0.3478548451374538
"""Gauss-Legendre quadrature with four points."""
TOLERANCE = 1e-9
"""Error of one piece against the draw."""


@compiled_in_place
def hazard(volts, law):
    """Ignitions per second at a gap voltage; `law` is rate, reference voltage, exponent, zero below."""
    if volts <= law[3]:
        return 0.0
    return law[0] * math.exp(law[2] * math.log(volts / law[1]))


@compiled_in_place
def hazard_between(row, q, rates, reals, law, t0, t1):
    """Integral of the hazard between two times of a step."""
    middle, half = 0.5 * (t0 + t1), 0.5 * (t1 - t0)
    total = 0.0
    for node, weight in ((NODE_1, WEIGHT_1), (NODE_2, WEIGHT_2)):
        for sign in (-1.0, 1.0):
            v, _ = value_at(row, q, rates, reals, middle + sign * half * node)
            total += weight * hazard(v, law)
    return half * total


@compiled_in_place
def first_width(q, row, rates, reals, h):
    """Width of the first piece of a step: a part of its fastest change that is felt."""
    total = 0.0
    for k in range(q.shape[0]):
        total += abs(row[k] * q[k])
    fastest = 0.0
    for k in range(reals):
        if abs(row[k] * q[k]) > 1e-6 * total:
            fastest = max(fastest, abs(rates[k]))
    for k in range(reals, q.shape[0], 2):
        fastest = max(fastest, abs(rates[k]) + abs(rates[k + 1]))
    return min(h, 0.5 / fastest) if fastest > 0.0 else h


@compiled_in_place
def reached(row, q, rates, reals, law, t0, t1, missing):
    """Time between two at which the integral from the first reaches what is missing, by halving."""
    low, high = t0, t1
    for _ in range(60):
        middle = 0.5 * (low + high)
        if hazard_between(row, q, rates, reals, law, t0, middle) < missing:
            low = middle
        else:
            high = middle
        if high - low <= 1e-13 * high:
            break
    return high


@compiled_in_place
def hazard_crossing(row, q, rates, reals, law, h, so_far, draw):
    """Time within `h` at which the integral reaches the draw, and the integral then.

    The time is 1e300 if it does not. Pieces are halved until two halves agree
    with the whole, and widened again behind that.
    """
    total, t = so_far, 0.0
    width = first_width(q, row, rates, reals, h)
    while t < h:
        end = h if t + width >= h else t + width
        middle = 0.5 * (t + end)
        whole = hazard_between(row, q, rates, reals, law, t, end)
        halves = hazard_between(row, q, rates, reals, law, t, middle)
        halves += hazard_between(row, q, rates, reals, law, middle, end)
        if abs(whole - halves) > TOLERANCE * (draw + halves) and end - t > 1e-15 * (1.0 + t):
            width = 0.5 * (end - t)
            continue
        if total + halves >= draw:
            return reached(row, q, rates, reals, law, t, end, draw - total), draw
        total += halves
        t = end
        width *= 2.0
    return 1e300, total
