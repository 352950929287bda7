"""Meters over one step in closed form: terms at its end, integrals of all products of terms."""

import math

from gapwright.base.compiled import compiled_in_place, compiled_within
from gapwright.circuit.engine._event_kernel import power

SMALL = 0.02
"""Rate times time below which an integral is taken from its series."""
TINY = 1e-5
"""Below this three terms of the series are exact."""


@compiled_within
def carried(q, rates, reals, h, out):
    """Terms `h` later."""
    for k in range(reals):
        out[k] = q[k] * power(rates[k] * h) if rates[k] != 0.0 else q[k]
    for k in range(reals, q.shape[0], 2):
        s = power(rates[k] * h)
        co, si = s * math.cos(rates[k + 1] * h), s * math.sin(rates[k + 1] * h)
        out[k] = q[k] * co - q[k + 1] * si
        out[k + 1] = q[k] * si + q[k + 1] * co


@compiled_within
def turned(q, reals, factors, out):
    """Terms after a step whose growth factors are known."""
    for k in range(reals):
        out[k] = q[k] * factors[0, k]
    for k in range(reals, q.shape[0], 2):
        co, si = factors[0, k], factors[0, k + 1]
        out[k] = q[k] * co - q[k + 1] * si
        out[k + 1] = q[k] * si + q[k + 1] * co


@compiled_within
def grown(z):
    """``(e^z - 1) / z`` for small `z`, real or complex."""
    return 1.0 + z * (0.5 + z * (1 / 6 + z * (1 / 24 + z * (1 / 120 + z * (1 / 720 + z * (1 / 5040))))))


@compiled_within
def real_integral(first, last, z, inverse, h):
    """Integral over `h` of a real exponential that goes from `first` to `last`; `z` is rate times time."""
    if -TINY < z < TINY:
        return first * h * (1.0 + z * (0.5 + z * (1 / 6)))
    if -SMALL < z < SMALL:
        return first * h * grown(z)
    return (last - first) * inverse


@compiled_within
def turning_integral(first, last, z, inverse, h):
    """Integral over `h` of a complex exponential that goes from `first` to `last`."""
    if abs(z.real) + abs(z.imag) < SMALL:
        return first * h * grown(z)
    return (last - first) * inverse


@compiled_in_place
def inverse_rates(rates, reals, out):
    """One over the rate of the product of each pair of terms, for `add_products`; 0 where nothing changes.

    Two real terms have one number in two places. A real term and a pair have
    a complex one, in the columns of the pair. Two pairs have two: for the product, on the
    diagonal of their block, and for that with the other turning backward, beside it.
    """
    for i in range(reals):
        for j in range(i + 1):
            rate = rates[i] + rates[j]
            out[i, j] = out[j, i] = 1.0 / rate if rate != 0.0 else 0.0
    for k in range(reals, rates.shape[0], 2):
        r = complex(rates[k], rates[k + 1])
        for i in range(reals):
            v = 1.0 / (r + rates[i])
            out[i, k] = out[k, i] = v.real
            out[i, k + 1] = out[k + 1, i] = v.imag
        for j in range(reals, k + 2, 2):
            s = complex(rates[j], rates[j + 1])
            v = 1.0 / (r + s)
            out[k, j], out[k + 1, j + 1] = v.real, v.imag
            back = r + s.conjugate()
            u = 1.0 / back if back != 0.0 else complex(0.0, 0.0)
            out[k + 1, j], out[k, j + 1] = u.real, u.imag


@compiled_within
def add_products(q0, q1, rates, inverse, reals, h, out):
    """Add the integrals over a step of the products of all pairs of terms."""
    for i in range(reals):
        for j in range(i + 1):
            z = (rates[i] + rates[j]) * h
            x = real_integral(q0[i] * q0[j], q1[i] * q1[j], z, inverse[i, j], h)
            out[i, j] += x
            if j < i:
                out[j, i] += x
    for k in range(reals, q0.shape[0], 2):
        c0, c1 = complex(q0[k], q0[k + 1]), complex(q1[k], q1[k + 1])
        r = complex(rates[k], rates[k + 1])
        for i in range(reals):
            inv = complex(inverse[i, k], inverse[i, k + 1])
            v = turning_integral(q0[i] * c0, q1[i] * c1, (r + rates[i]) * h, inv, h)
            out[i, k] += v.real
            out[k, i] += v.real
            out[i, k + 1] += v.imag
            out[k + 1, i] += v.imag
        for j in range(reals, k, 2):
            d0, d1 = complex(q0[j], q0[j + 1]), complex(q1[j], q1[j + 1])
            s = complex(rates[j], rates[j + 1])
            inv = complex(inverse[k, j], inverse[k + 1, j + 1])
            v = turning_integral(c0 * d0, c1 * d1, (r + s) * h, inv, h)
            inv = complex(inverse[k + 1, j], inverse[k, j + 1])
            u = turning_integral(c0 * d0.conjugate(), c1 * d1.conjugate(), (r + s.conjugate()) * h, inv, h)
            both, apart = 0.5 * (v.real + u.real), 0.5 * (u.real - v.real)
            out[k, j] += both
            out[j, k] += both
            out[k + 1, j + 1] += apart
            out[j + 1, k + 1] += apart
            ahead, behind = 0.5 * (v.imag + u.imag), 0.5 * (v.imag - u.imag)
            out[k + 1, j] += ahead
            out[j, k + 1] += ahead
            out[k, j + 1] += behind
            out[j + 1, k] += behind
        v = turning_integral(c0 * c0, c1 * c1, 2.0 * r * h, complex(inverse[k, k], inverse[k + 1, k + 1]), h)
        first = c0.real * c0.real + c0.imag * c0.imag
        last = c1.real * c1.real + c1.imag * c1.imag
        size = real_integral(first, last, 2.0 * r.real * h, inverse[k + 1, k], h)
        out[k, k] += 0.5 * (size + v.real)
        out[k + 1, k + 1] += 0.5 * (size - v.real)
        out[k + 1, k] += 0.5 * v.imag
        out[k, k + 1] += 0.5 * v.imag


@compiled_in_place
def value_of(row, q):
    """Row times terms."""
    total = 0.0
    for k in range(q.shape[0]):
        total += row[k] * q[k]
    return total


@compiled_within
def weighed(form, integrals):
    """Weighted sum of the integrals of the products."""
    total = 0.0
    for i in range(form.shape[0]):
        for j in range(form.shape[0]):
            total += form[i, j] * integrals[i, j]
    return total
