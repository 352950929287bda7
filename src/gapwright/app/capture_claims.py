"""One claim of a capture with its band, in words fit for a card: share of good sparks, energy of a spark."""

from collections.abc import Callable, Mapping
from math import sqrt

import numpy as np

from gapwright.app.capture_bench import DISCHARGES
from gapwright.app.captures import CaptureInHand
from gapwright.app.claims import Claim
from gapwright.app.wording import banded_text, counted, quantity_text, share_text
from gapwright.base.checks import close_names
from gapwright.base.errors import InputRefused
from gapwright.study.grounds.outcome import Banded

NINE_IN_TEN = 1.6448536269514722
"""Standard deviations on either side of the mean that hold 90 % of a normal distribution."""


def share_band(count: int, total: int) -> Banded:
    """Share that `count` of `total` independent events stand for, between 5 and 95 %: Wilson's interval.

    E. B. Wilson, Journal of the American Statistical Association 22 (1927), 209.
    It stays within 0 and 1 and holds where all or none were counted.

    Examples
    --------
    >>> band = share_band(8, 10)
    >>> f"{band.median:.2f}, {band.low:.3f} to {band.high:.3f}"
    '0.80, 0.541 to 0.931'
    """
    share, z2 = count / total, NINE_IN_TEN**2
    middle = (share + z2 / (2 * total)) / (1 + z2 / total)
    half = NINE_IN_TEN * sqrt(share * (1 - share) / total + z2 / (4 * total**2)) / (1 + z2 / total)
    return Banded(median=share, low=max(0.0, middle - half), high=min(1.0, middle + half))


def _good(found: CaptureInHand) -> Claim:
    """Normal discharges among all that the gap let through."""
    classes = found.answer.classes
    total = sum(classes[name].count for name in DISCHARGES)
    if not total:
        raise InputRefused(
            "a card of good sparks must have discharges, got none in the capture; record longer"
        )
    value = share_band(classes["normal"].count, total)
    low, high = (share_text(end) for end in (value.low or 0.0, value.high or 0.0))
    return Claim(
        large=share_text(value.median or 0.0),
        band=f"{low.removesuffix(' %')} to {high}, by counting alone",
        sentence="of the sparks are good ones",
        behind=f"{_behind(found)}; {total} discharges told apart: normal against partial, arcs and contacts",
        value=value,
    )


def _energy(found: CaptureInHand) -> Claim:
    """Energy of the middle spark, and between what nine in ten lie."""
    told, sparks = found.answer.energy_j, found.reading.sparks
    values = sparks.energy_j[sparks.fired]
    values = values[np.isfinite(values) & (values > 0.0)]
    if told is None or not values.size:
        raise InputRefused(
            "a card of energies must have sparks whose energy is told, got none in the capture; "
            "record the current too, with whole peaks"
        )
    low, middle, high = (float(end) for end in np.quantile(values, [0.05, 0.5, 0.95]))
    value = Banded(median=middle, low=low, high=high)
    text = banded_text(value, "J")
    unsure = f"; the current's delay leaves the energy unsure by {share_text(told.skew_share)}"
    return Claim(
        large=text.middle,
        band=f"nine in ten sparks: {text.band}" if text.band else "the same in every spark",
        sentence="in the gap with each spark; half have less",
        behind=_behind(found) + (unsure if told.skew_share > 0.0 else ""),
        value=value,
    )


def _behind(found: CaptureInHand) -> str:
    """What stands behind a number: where it was measured, and over how much."""
    answer = found.answer
    sparks = counted(answer.sparks.count, "spark", "sparks")
    lasted = quantity_text(answer.duration_s, "s")
    return f"{', '.join(answer.files[:3])}: measured over {sparks} in {lasted}"


CAPTURE_CLAIMS: Mapping[str, Callable[[CaptureInHand], Claim]] = {"good": _good, "energy": _energy}
"""Claims that a card of a capture can make, by name."""


def capture_claim(found: CaptureInHand, name: str) -> Claim:
    """A claim of a capture.

    Raises
    ------
    InputRefused
        If there is no claim of that name, or the capture does not hold it.
    """
    if name not in CAPTURE_CLAIMS:
        known = list(CAPTURE_CLAIMS)
        raise InputRefused(f"a card must be one of {', '.join(known)}{close_names(name[:60], known)}")
    return CAPTURE_CLAIMS[name](found)
