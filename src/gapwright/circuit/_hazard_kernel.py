"""When a random ignition falls due: the integral of a hazard that grows as a power of gap voltage."""

import math

from gapwright.base.compiled import compiled_in_place
from gapwright.circuit._meter_kernel import value_at

NODE_1, NODE_2 = 0.3399810435848563, 0.8611363115940526
WEIGHT_1, WEIGHT_2 = 0.6521451548625461, 0.3478548451374538
"""Gauss-Legendre quadrature with four points."""


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
def pieces(row, q, rates, reals, h):
    """In how many pieces a step is integrated: more where the voltage changes much."""
    v0, _ = value_at(row, q, rates, reals, 0.0)
    v1, _ = value_at(row, q, rates, reals, h)
    vm, _ = value_at(row, q, rates, reals, 0.5 * h)
    change = abs(vm - v0) + abs(v1 - vm)
    return 1 + int(min(63.0, 32.0 * change / (1e-3 + abs(v0) + abs(v1))))


@compiled_in_place
def hazard_crossing(row, q, rates, reals, law, h, so_far, draw):
    """Time within `h` at which the integral reaches the draw (1e300 if it does not), and the integral then."""
    n = pieces(row, q, rates, reals, h)
    total = so_far
    for j in range(n):
        t0, t1 = h * j / n, h * (j + 1) / n
        more = hazard_between(row, q, rates, reals, law, t0, t1)
        if total + more >= draw:
            low, high = t0, t1
            for _ in range(60):
                middle = 0.5 * (low + high)
                if total + hazard_between(row, q, rates, reals, law, t0, middle) < draw:
                    low = middle
                else:
                    high = middle
                if high - low <= 1e-13 * high:
                    break
            return high, draw
        total += more
    return 1e300, total
