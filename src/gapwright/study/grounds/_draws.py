"""Random numbers by counting: the n-th draw of a stream depends on its key and n alone.

The mixing step is SplitMix64 (Steele, Lea, Flood 2014, Fast splittable
pseudorandom number generators, OOPSLA). A stream's key is made of seed,
member, hole and purpose, so that the same seed gives the same bytes for any
number of workers, and two rigs meet the same luck, purpose by purpose.
"""

import numpy as np
from numpy.typing import NDArray

from gapwright.base.compiled import compiled_in_place

GOLDEN = np.uint64(0x9E3779B97F4A7C15)
FIRST = np.uint64(0xBF58476D1CE4E5B9)
SECOND = np.uint64(0x94D049BB133111EB)
S30, S27, S31, S11 = np.uint64(30), np.uint64(27), np.uint64(31), np.uint64(11)
ONE = np.uint64(1)

Bits = NDArray[np.uint64]

IGNITION, PLACE, EFFECT, SCATTER, BRIDGE, KEEP = 0, 1, 2, 3, 4, 6
MEMORY, ANGLE, WAYS, MIXTURE = 7, 8, 9, 10
PURPOSES = 11


@compiled_in_place
def mixed(key: np.uint64, count: np.uint64) -> np.uint64:
    """Draw number `count` (from 0) of the stream `key`, as 64 random bits."""
    z = key + GOLDEN * (count + ONE)
    z = (z ^ (z >> S30)) * FIRST
    z = (z ^ (z >> S27)) * SECOND
    return z ^ (z >> S31)


@compiled_in_place
def uniform(keys: Bits, counts: Bits, purpose: int) -> float:
    """Next number of a purpose's stream, evenly spread over (0, 1); moves its count on."""
    bits = mixed(keys[purpose], counts[purpose])
    counts[purpose] += ONE
    return (float(bits >> S11) + 0.5) * 1.1102230246251565e-16


@compiled_in_place
def exponential(keys: Bits, counts: Bits, purpose: int) -> float:
    """Next number of a purpose's stream, exponential with mean 1."""
    return -np.log(uniform(keys, counts, purpose))


@compiled_in_place
def normal(keys: Bits, counts: Bits, purpose: int) -> float:
    """Next number of a purpose's stream, normal with mean 0 and deviation 1 (two draws)."""
    a = uniform(keys, counts, purpose)
    b = uniform(keys, counts, purpose)
    return np.sqrt(-2.0 * np.log(a)) * np.cos(2.0 * np.pi * b)


def stream_keys(seed: int, member: int, hole: int) -> Bits:
    """Keys of all purposes' streams for one hole of one member, shape (PURPOSES,)."""
    keys = np.zeros(PURPOSES, dtype=np.uint64)
    with np.errstate(over="ignore"):
        for purpose in range(PURPOSES):
            key = np.uint64(seed & 0xFFFFFFFFFFFFFFFF)
            for part in (member, hole, purpose):
                key = np.uint64(mixed(key, np.uint64(part)))
            keys[purpose] = key
    return keys
