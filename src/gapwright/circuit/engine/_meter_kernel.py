"""Meters over one step in closed form: terms at its end, integrals of all products of terms."""

import math

from gapwright.base.compiled import compiled_in_place
from gapwright.circuit.engine._event_kernel import power

SMALL = 0.02
"""Rate times time below which an integral is taken from its series."""


@compiled_in_place
def carried(q, rates, reals, h, out):
    """Terms `h` later."""
    for k in range(reals):
        out[k] = q[k] * power(rates[k] * h)
    for k in range(reals, q.shape[0], 2):
        s = power(rates[k] * h)
        co, si = s * math.cos(rates[k + 1] * h), s * math.sin(rates[k + 1] * h)
        out[k] = q[k] * co - q[k + 1] * si
        out[k + 1] = q[k] * si + q[k + 1] * co


@compiled_in_place
def turned(q, reals, factors, out):
    """Terms after a step whose growth factors are known."""
    for k in range(reals):
        out[k] = q[k] * factors[0, k]
    for k in range(reals, q.shape[0], 2):
        co, si = factors[0, k], factors[0, k + 1]
        out[k] = q[k] * co - q[k + 1] * si
        out[k + 1] = q[k] * si + q[k + 1] * co


@compiled_in_place
def grown(z):
    """``(e^z - 1) / z`` for small `z`, real or complex."""
    return 1.0 + z * (0.5 + z * (1 / 6 + z * (1 / 24 + z * (1 / 120 + z * (1 / 720 + z * (1 / 5040))))))


@compiled_in_place
def real_integral(first, last, rate, h):
    """Integral over `h` of a real exponential that goes from `first` to `last`."""
    z = rate * h
    if -SMALL < z < SMALL:
        return first * h * grown(z)
    return (last - first) / rate


@compiled_in_place
def turning_integral(first, last, rate, h):
    """Integral over `h` of a complex exponential that goes from `first` to `last`."""
    z = rate * h
    if abs(z.real) + abs(z.imag) < SMALL:
        return first * h * grown(z)
    return (last - first) / rate


@compiled_in_place
def products(q0, q1, rates, reals, h, out):
    """Integrals over a step of the products of all pairs of terms."""
    m = q0.shape[0]
    for i in range(reals):
        for j in range(i + 1):
            out[i, j] = real_integral(q0[i] * q0[j], q1[i] * q1[j], rates[i] + rates[j], h)
            out[j, i] = out[i, j]
    for k in range(reals, m, 2):
        c0, c1 = complex(q0[k], q0[k + 1]), complex(q1[k], q1[k + 1])
        r = complex(rates[k], rates[k + 1])
        for i in range(reals):
            v = turning_integral(q0[i] * c0, q1[i] * c1, r + rates[i], h)
            out[i, k] = out[k, i] = v.real
            out[i, k + 1] = out[k + 1, i] = v.imag
        for j in range(reals, k + 2, 2):
            d0, d1 = complex(q0[j], q0[j + 1]), complex(q1[j], q1[j + 1])
            s = complex(rates[j], rates[j + 1])
            v = turning_integral(c0 * d0, c1 * d1, r + s, h)
            if j == k:
                u = complex(
                    real_integral(
                        c0.real * c0.real + c0.imag * c0.imag,
                        c1.real * c1.real + c1.imag * c1.imag,
                        2.0 * r.real,
                        h,
                    ),
                    0.0,
                )
            else:
                u = turning_integral(c0 * d0.conjugate(), c1 * d1.conjugate(), r + s.conjugate(), h)
            out[k, j] = out[j, k] = 0.5 * (v.real + u.real)
            out[k + 1, j + 1] = out[j + 1, k + 1] = 0.5 * (u.real - v.real)
            out[k + 1, j] = out[j, k + 1] = 0.5 * (v.imag + u.imag)
            out[k, j + 1] = out[j + 1, k] = 0.5 * (v.imag - u.imag)


@compiled_in_place
def value_of(row, q):
    """Row times terms."""
    total = 0.0
    for k in range(q.shape[0]):
        total += row[k] * q[k]
    return total


@compiled_in_place
def weighed(form, integrals):
    """Weighted sum of the integrals of the products."""
    total = 0.0
    for i in range(form.shape[0]):
        for j in range(form.shape[0]):
            total += form[i, j] * integrals[i, j]
    return total
