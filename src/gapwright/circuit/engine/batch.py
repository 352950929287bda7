"""Many state matrices of one shape in their own terms at once, as for the members of a study of tolerances.

The arithmetic is that of `gapwright.circuit.engine.terms`, matrix by matrix: groups of
states whose rates lie far apart are decoupled before they are written in real
exponentials and decaying oscillations. Only the calls are shared, so that what
comes out for a member does not depend on who is beside it.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gapwright.circuit.engine.modes import Worked
from gapwright.circuit.engine.terms import (
    FAR_APART,
    HIGHEST_CONDITION,
    LARGEST_RECONSTRUCTION_ERROR,
    Terms,
    decomposed,
)
from gapwright.circuit.network.mna import Equations, Mode, equations_together
from gapwright.circuit.network.netlist import Netlist

Stack = NDArray[np.float64]
Complex = NDArray[np.complex128]
MOST_TURNS = 60


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Spectra:
    """Complex rates of each matrix with vectors and their inverse; NaN where they could not be had."""

    values: Complex
    vectors: Complex
    inverse: Complex


def _blank(count: int, n: int) -> _Spectra:
    return _Spectra(
        values=np.full((count, n), np.nan, dtype=complex),
        vectors=np.full((count, n, n), np.nan, dtype=complex),
        inverse=np.full((count, n, n), np.nan, dtype=complex),
    )


def _enter(into: _Spectra, where: NDArray[np.int64], found: _Spectra) -> None:
    into.values[where], into.vectors[where], into.inverse[where] = found.values, found.vectors, found.inverse


def _plain(systems: Stack) -> _Spectra:
    values, vectors = np.linalg.eig(systems)
    vectors = vectors.astype(complex)
    return _Spectra(values=values.astype(complex), vectors=vectors, inverse=np.linalg.inv(vectors))


def _settled(after: Stack, before: Stack) -> NDArray[np.bool_]:
    return np.asarray((np.abs(after - before) <= 1e-15 * np.abs(before)).all(axis=(1, 2)))


def _turned(a: Stack) -> Stack:
    return np.asarray(np.swapaxes(a, 1, 2))


def _fast_from_slow(fast: Stack, into_fast: Stack, into_slow: Stack, slow: Stack) -> tuple[Stack, Stack]:
    """How fast states follow slow ones and slow ones fast; each matrix rests once it has settled."""
    p: Stack = np.zeros_like(into_fast)
    q: Stack = np.zeros_like(into_slow)
    moving = np.arange(len(fast))
    for _ in range(MOST_TURNS):
        f, i, j, s = fast[moving], into_fast[moving], into_slow[moving], slow[moving]
        p_next: Stack = np.asarray(np.linalg.solve(f, p[moving] @ (s + j @ p[moving]) - i), dtype=float)
        back = np.linalg.solve(_turned(f + i @ q[moving]), _turned(j + s @ q[moving]))
        q_next = _turned(np.asarray(back, dtype=float))
        rests = _settled(p_next, p[moving]) & _settled(q_next, q[moving])
        p[moving], q[moving] = p_next, q_next
        moving = moving[~rests]
        if len(moving) == 0:
            break
    return p, q


def _spectra(systems: Stack) -> _Spectra:
    """Spectra of a stack; matrices that are decoupled alike are worked together."""
    count, n = systems.shape[:2]
    found = _blank(count, n)
    speeds = np.sqrt(np.abs(systems * _turned(systems))).max(axis=2)
    order = np.argsort(-speeds, axis=1, kind="stable")
    ordered = np.take_along_axis(speeds, order, axis=1)
    ratios = ordered[:, :-1] / np.maximum(ordered[:, 1:], 1e-280)
    apart = (ratios.max(axis=1) >= FAR_APART) if n > 1 else np.zeros(count, dtype=bool)
    cut = np.where(apart, np.argmax(ratios, axis=1) + 1 if n > 1 else 0, 0)
    keys = np.column_stack([cut, np.where(apart[:, None], order, 0)])
    for key in np.unique(keys, axis=0):
        where = np.flatnonzero((keys == key).all(axis=1))
        try:
            if key[0] == 0:
                _enter(found, where, _plain(systems[where]))
            else:
                _enter(found, where, _decoupled(systems[where], int(key[0]), key[1:]))
        except np.linalg.LinAlgError:
            continue
    return found


def _decoupled(systems: Stack, cut: int, order: NDArray[np.int64]) -> _Spectra:
    """Spectra of matrices whose first `cut` states, in that order, are far faster than the rest."""
    n = len(order)
    a = systems[:, order][:, :, order]
    fast, into_fast = a[:, :cut, :cut], a[:, :cut, cut:]
    into_slow, slow = a[:, cut:, :cut], a[:, cut:, cut:]
    p, q = _fast_from_slow(fast, into_fast, into_slow, slow)
    upper, lower = _spectra(fast + into_fast @ q), _spectra(slow + into_slow @ p)
    vectors = np.concatenate(
        [
            np.concatenate([upper.vectors, p @ lower.vectors], axis=2),
            np.concatenate([q @ upper.vectors, lower.vectors], axis=2),
        ],
        axis=1,
    )
    own_upper = upper.inverse @ np.linalg.inv(np.eye(cut) - p @ q)
    own_lower = lower.inverse @ np.linalg.inv(np.eye(n - cut) - q @ p)
    inverse = np.concatenate(
        [
            np.concatenate([own_upper, -own_upper @ p], axis=2),
            np.concatenate([-own_lower @ q, own_lower], axis=2),
        ],
        axis=1,
    )
    back = np.argsort(order)
    return _Spectra(
        values=np.concatenate([upper.values, lower.values], axis=1),
        vectors=vectors[:, back],
        inverse=inverse[:, :, back],
    )


def decomposed_together(systems: Stack) -> list[Terms]:
    """State matrices in their own terms; those that are not well apart go the careful way by themselves.

    Parameters
    ----------
    systems
        (k, m, m) square matrices, each with a last row of zeros.

    Returns
    -------
    terms
        As `decomposed` gives for each.
    """
    with np.errstate(all="ignore"):  # what overflows is not sound, and goes the careful way
        found = _spectra(systems)
    signs = np.where(np.isfinite(found.values), np.sign(found.values.imag), 9.0)
    terms: list[Terms | None] = [None] * len(systems)
    for pattern in np.unique(signs, axis=0):
        where = np.flatnonzero((signs == pattern).all(axis=1))
        if 9.0 not in pattern:
            for place, made in zip(where, _closed(found, where, pattern, systems), strict=True):
                terms[place] = made
    return [decomposed(systems[k]) if made is None else made for k, made in enumerate(terms)]


def _closed(found: _Spectra, where: NDArray[np.int64], pattern: Stack, systems: Stack) -> list[Terms | None]:
    """Terms of matrices with the same pattern of real rates and pairs; None where they are not sound."""
    real, pairs = np.flatnonzero(pattern == 0), np.flatnonzero(pattern > 0)
    values, vectors, inverse = found.values[where], found.vectors[where], found.inverse[where]
    rates = [values[:, real].real]
    columns, rows = [vectors[:, :, real].real], [inverse[:, real].real]
    for k in pairs:
        rates += [values[:, k : k + 1].real, values[:, k : k + 1].imag]
        columns += [vectors[:, :, k : k + 1].real, -vectors[:, :, k : k + 1].imag]
        rows += [2.0 * inverse[:, k : k + 1].real, 2.0 * inverse[:, k : k + 1].imag]
    rate, state_of, terms_of = (
        np.concatenate(rates, axis=1),
        np.concatenate(columns, axis=2),
        np.concatenate(rows, axis=1),
    )
    residual = _residuals(rate, state_of, terms_of, len(real), systems[where])
    sound = _sound(state_of, terms_of) & (residual <= LARGEST_RECONSTRUCTION_ERROR)
    return [
        Terms(
            modal=True,
            reals=len(real),
            rates=rate[k].copy(),
            state_of=np.ascontiguousarray(state_of[k]),
            terms_of=np.ascontiguousarray(terms_of[k]),
            residual=float(residual[k]),
        )
        if good
        else None
        for k, good in enumerate(sound)
    ]


def _residuals(rate: Stack, state_of: Stack, terms_of: Stack, reals: int, systems: Stack) -> Stack:
    """Error of each rebuilt matrix over its greatest element."""
    m = rate.shape[1]
    inner = np.zeros((len(rate), m, m))
    for k in range(reals):
        inner[:, k, k] = rate[:, k]
    for k in range(reals, m, 2):
        inner[:, k, k] = inner[:, k + 1, k + 1] = rate[:, k]
        inner[:, k, k + 1], inner[:, k + 1, k] = -rate[:, k + 1], rate[:, k + 1]
    error = np.abs(state_of @ inner @ terms_of - systems).max(axis=(1, 2))
    return np.asarray(error / np.maximum(np.abs(systems).max(axis=(1, 2)), 1e-300))


def _sound(state_of: Stack, terms_of: Stack) -> NDArray[np.bool_]:
    """Whether the terms of each matrix are well apart."""
    lengths = np.linalg.norm(state_of, axis=1)
    with np.errstate(divide="ignore", invalid="ignore"):
        wide = state_of / lengths[:, None, :]
        tall = _turned(terms_of) * lengths[:, None, :]
    finite = np.isfinite(wide).all(axis=(1, 2)) & np.isfinite(tall).all(axis=(1, 2))
    condition = np.full(len(state_of), np.inf)
    if finite.any():
        largest = [np.linalg.svd(each[finite], compute_uv=False)[:, 0] for each in (wide, tall)]
        condition[finite] = largest[0] * largest[1]
    return np.asarray(condition < HIGHEST_CONDITION)


def worked_together(netlists: Sequence[Netlist], masks: Sequence[int]) -> list[dict[int, Worked]]:
    """Modes of many circuits of one shape, ready before they are run.

    Parameters
    ----------
    netlists
        Circuits with the same parts in the same places, of other values.
    masks
        Modes that their runs will need, such as those a first one met.

    Returns
    -------
    worked
        For each circuit its modes by mask, as `gapwright.circuit.engine.engine.run` takes them.
    """
    solved: list[list[Equations]] = [
        equations_together(netlist, [Mode.from_mask(netlist, mask) for mask in masks]) for netlist in netlists
    ]
    systems = [each.system for own in solved for each in own]
    terms = decomposed_together(np.array(systems)) if systems else []
    width = len(masks)
    return [
        {mask: (own[k], terms[n * width + k]) for k, mask in enumerate(masks)} for n, own in enumerate(solved)
    ]
