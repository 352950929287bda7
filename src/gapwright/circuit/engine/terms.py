"""A state matrix in its own terms, exact over rates that lie many decades apart.

An eigenvalue routine is exact against the largest rate of a matrix. A damper
across a lead makes rates of 1e10/s beside a store's 1/s, so groups of states
whose rates lie far apart are first decoupled, each from all faster ones, and
only then written in real exponentials and decaying oscillations.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

Rows = NDArray[np.float64]

HIGHEST_CONDITION = 1e5
"""Condition of the matrix of terms above which a mode is not carried in closed form."""
LARGEST_RECONSTRUCTION_ERROR = 1e-10
"""Relative error of the rebuilt state matrix above which a mode is not carried in closed form."""
REFINEMENTS = 3
"""Steps by which rates, vectors and their inverse are set right."""
TOGETHER = 1e-9
"""Relative distance below which two rates are left as they are found."""
FAR_APART = 1e3
"""Ratio of rates above which two groups of states are decoupled first."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Terms:
    """A state matrix in its own terms: ``state = state_of @ terms``.

    `rates` holds the rate of each of the first `reals` terms, then real and
    imaginary part of the rate of each pair. Not `modal`: the terms are the
    states themselves, and have no rates.
    """

    modal: bool
    reals: int
    rates: Rows
    state_of: Rows
    terms_of: Rows
    residual: float = 0.0
    """Error of the rebuilt matrix over its greatest element; 0 where there is nothing to rebuild."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Spectrum:
    """Complex rates with vectors and their inverse."""

    values: NDArray[np.complex128]
    vectors: NDArray[np.complex128]
    inverse: NDArray[np.complex128]


def _speeds(system: Rows) -> Rows:
    """How fast each state moves by itself or against another."""
    together = np.sqrt(np.abs(system * system.T))
    return np.asarray(together.max(axis=1))


def _plain(system: Rows) -> _Spectrum:
    values, vectors = np.linalg.eig(system)
    vectors = vectors.astype(complex)
    return _Spectrum(values=values.astype(complex), vectors=vectors, inverse=np.linalg.inv(vectors))


def _refined(system: Rows) -> _Spectrum:
    """Rates and vectors by one routine, then set right in longer arithmetic.

    The routine's rates are wrong by rounding of the fastest, which in a stiff
    mode is much beside the slowest; a step of perturbation theory takes that out.
    """
    rough = _plain(system)
    a = system.astype(np.clongdouble)
    values, vectors, inverse = (
        part.astype(np.clongdouble) for part in (rough.values, rough.vectors, rough.inverse)
    )
    one = np.eye(len(system), dtype=np.clongdouble)
    for _ in range(REFINEMENTS):
        for _ in range(REFINEMENTS):
            inverse = inverse @ (2 * one - vectors @ inverse)
        inner = inverse @ a @ vectors
        values = np.diag(inner).copy()
        apart = values[None, :] - values[:, None]
        size = np.abs(values[None, :]) + np.abs(values[:, None])
        far = np.abs(apart) > TOGETHER * size
        step = np.divide(inner, apart, out=np.zeros_like(inner), where=far)
        np.fill_diagonal(step, 0.0)
        vectors = vectors + vectors @ step
    for _ in range(REFINEMENTS):
        inverse = inverse @ (2 * one - vectors @ inverse)
    real = rough.values.imag == 0.0
    values = np.where(real, values.real, values)
    vectors = np.where(real[None, :], vectors.real, vectors)
    inverse = np.where(real[:, None], inverse.real, inverse)
    return _Spectrum(
        values=values.astype(complex), vectors=vectors.astype(complex), inverse=inverse.astype(complex)
    )


def _same(after: Rows, before: Rows) -> bool:
    """Whether an iteration has stopped moving, each element for itself."""
    return bool((np.abs(after - before) <= 1e-15 * np.abs(before)).all())


def _fast_from_slow(fast: Rows, into_fast: Rows, into_slow: Rows, slow: Rows) -> tuple[Rows, Rows]:
    """How fast states follow slow ones (``fast = P slow``), and slow ones fast (``slow = Q fast``)."""
    p: Rows = np.zeros_like(into_fast)
    q: Rows = np.zeros_like(into_slow)
    far = 1e6 * (1.0 + np.abs(into_fast).max() + np.abs(into_slow).max())
    for _ in range(60):
        p_next: Rows = np.asarray(np.linalg.solve(fast, p @ (slow + into_slow @ p) - into_fast), dtype=float)
        q_next: Rows = np.asarray(
            np.linalg.solve((fast + into_fast @ q).T, (into_slow + slow @ q).T).T, dtype=float
        )
        settled = _same(p_next, p) and _same(q_next, q)
        p, q = p_next, q_next
        if settled:
            break
        if not max(np.abs(p).max(), np.abs(q).max()) < far:
            raise np.linalg.LinAlgError("the groups of states cannot be decoupled")
    return p, q


def _spectrum(system: Rows) -> _Spectrum:
    """Rates and vectors, groups of far apart rates decoupled first."""
    n = len(system)
    speeds = _speeds(system)
    order = np.argsort(-speeds, kind="stable")
    sorted_speeds = speeds[order]
    ratios = sorted_speeds[:-1] / np.maximum(sorted_speeds[1:], 1e-280)
    if n < 2 or ratios.max() < FAR_APART:
        return _plain(system)
    cut = int(np.argmax(ratios)) + 1
    a = system[np.ix_(order, order)]
    fast, into_fast, into_slow, slow = a[:cut, :cut], a[:cut, cut:], a[cut:, :cut], a[cut:, cut:]
    p, q = _fast_from_slow(fast, into_fast, into_slow, slow)
    upper, lower = _spectrum(fast + into_fast @ q), _spectrum(slow + into_slow @ p)
    vectors = np.block([[upper.vectors, p @ lower.vectors], [q @ upper.vectors, lower.vectors]])
    own_upper = upper.inverse @ np.linalg.inv(np.eye(cut) - p @ q)
    own_lower = lower.inverse @ np.linalg.inv(np.eye(n - cut) - q @ p)
    inverse = np.block([[own_upper, -own_upper @ p], [-own_lower @ q, own_lower]])
    back = np.argsort(order)
    return _Spectrum(
        values=np.concatenate([upper.values, lower.values]), vectors=vectors[back], inverse=inverse[:, back]
    )


def _in_closed_form(found: _Spectrum, system: Rows) -> Terms:
    real, upper = np.flatnonzero(found.values.imag == 0), np.flatnonzero(found.values.imag > 0)
    rates, columns, rows = list(found.values[real].real), list(found.vectors[:, real].real.T), []
    rows += list(found.inverse[real].real)
    for k in upper:
        rates += [found.values[k].real, found.values[k].imag]
        columns += [found.vectors[:, k].real, -found.vectors[:, k].imag]
        rows += [2.0 * found.inverse[k].real, 2.0 * found.inverse[k].imag]
    terms = Terms(
        modal=True,
        reals=len(real),
        rates=np.array(rates),
        state_of=np.ascontiguousarray(np.array(columns).T),
        terms_of=np.array(rows),
    )
    if not (np.isfinite(terms.state_of).all() and np.isfinite(terms.terms_of).all()):
        return _as_matrix(system)
    residual = float(np.abs(rebuilt(terms) - system).max() / max(np.abs(system).max(), 1e-300))
    terms = replace(terms, residual=residual)
    return terms if _is_sound(terms) else _as_matrix(system)


def _is_sound(terms: Terms) -> bool:
    """Whether the terms are well apart and rebuild the matrix."""
    largest = np.abs(terms.state_of).max(axis=0)
    if not (largest > 0.0).all():
        return False
    lengths = largest * np.linalg.norm(
        terms.state_of / largest, axis=0
    )  # squares of small ones would be none
    condition = np.linalg.norm(terms.state_of / lengths, 2) * np.linalg.norm(terms.terms_of.T * lengths, 2)
    return bool(condition < HIGHEST_CONDITION and terms.residual <= LARGEST_RECONSTRUCTION_ERROR)


def _as_matrix(system: Rows) -> Terms:
    m = len(system)
    return Terms(modal=False, reals=m, rates=np.zeros(m), state_of=np.eye(m), terms_of=np.eye(m))


def rebuilt(terms: Terms) -> Rows:
    """State matrix that the terms stand for."""
    inner = np.diag(np.where(np.arange(len(terms.rates)) < terms.reals, terms.rates, 0.0))
    for k in range(terms.reals, len(terms.rates), 2):
        growth, turn = terms.rates[k], terms.rates[k + 1]
        inner[k : k + 2, k : k + 2] = [[growth, -turn], [turn, growth]]
    return np.asarray(terms.state_of @ inner @ terms.terms_of)


def decomposed(system: Rows) -> Terms:
    """State matrix in its own terms, or marked as one to be carried by the ladder.

    Parameters
    ----------
    system
        Square matrix with a last row of zeros.

    Returns
    -------
    terms
        Its real and oscillating terms; `modal` says whether they are well apart.
    """
    for spectrum in (_spectrum, _refined):
        try:
            terms = _in_closed_form(spectrum(system), system)
        except np.linalg.LinAlgError:
            continue
        if terms.modal:
            return terms
    return _as_matrix(system)
