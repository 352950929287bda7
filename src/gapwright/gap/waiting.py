"""Delays of single pulses: how many still wait, and what their mean tells of the gap."""

import math
from collections.abc import Sequence

from gapwright.base.checks import require_not_negative, require_positive
from gapwright.base.errors import InputRefused
from gapwright.base.units import Number, Seconds


def waiting_share(elapsed: Seconds, *, mean_delay: Seconds, formative: Seconds = 0.0) -> Number:
    r"""Share of pulses that have not ignited yet.

    Parameters
    ----------
    elapsed
        Time since the voltage came on, at least 0. [s]
    mean_delay
        Mean of the exponential part of the delay, above 0. [s]
    formative
        Time that every ignition takes at least, at least 0. [s]

    Returns
    -------
    share
        Share of pulses that still wait, 0 to 1.

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: P(t_d > t) = \exp(-(t - t_s)/\tau), \quad t \ge t_s

    Holds for a steady voltage and a gap that does not change meanwhile.
    Leaves out: mixtures of two delay regimes, seen in water at 8 to 10 µm.

    References
    ----------
    bommeli-1979, the form

    Examples
    --------
    >>> print(f"{waiting_share(50e-6, mean_delay=20e-6):.4f}")
    0.0821
    """
    require_not_negative("elapsed", elapsed, "s")
    require_positive("mean_delay", mean_delay, "s")
    require_not_negative("formative", formative, "s")
    return math.exp(-max(0.0, elapsed - formative) / mean_delay)


def mean_fired_delay(on_time: Seconds, *, mean_delay: Seconds) -> Seconds:
    r"""Mean delay of those pulses that did ignite within the on-time.

    Parameters
    ----------
    on_time
        Time the voltage stays on, above 0. [s]
    mean_delay
        Mean of the exponential delay, above 0. [s]

    Returns
    -------
    delay
        Mean delay seen, below the true mean. [s]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: \tau - \frac{t_{on} e^{-t_{on}/\tau}}{1 - e^{-t_{on}/\tau}}

    Holds for exponential delays.
    Leaves out: the formative time.

    References
    ----------
    computed from the exponential distribution

    Examples
    --------
    >>> print(f"{1e6 * mean_fired_delay(50e-6, mean_delay=20e-6):.2f} µs")
    15.53 µs
    """
    require_positive("on_time", on_time, "s")
    require_positive("mean_delay", mean_delay, "s")
    waits = on_time / mean_delay
    return mean_delay + on_time * math.exp(-waits) / math.expm1(-waits)


def censored_mean_delay(delays: Sequence[Seconds], *, open_pulses: int, on_time: Seconds) -> Seconds:
    r"""Mean delay estimated from pulses of which some never ignited.

    Parameters
    ----------
    delays
        Delay of each pulse that ignited, at least one of them; each at least 0. [s]
    open_pulses
        How many pulses stayed open, at least 0.
    on_time
        Time that an open pulse waited, above 0. [s]

    Returns
    -------
    delay
        Estimate of the mean of the exponential delay. [s]

    Raises
    ------
    InputRefused
        If no pulse ignited, or a value above is not in its stated range.

    Notes
    -----
    .. math:: \hat\tau = \frac{\sum t_d + N_{open} t_{on}}{N_{sparks}}

    Holds for exponential delays; it is then the likeliest value.
    Leaves out: the formative time.

    References
    ----------
    computed from the exponential distribution

    Examples
    --------
    >>> print(f"{1e6 * censored_mean_delay([10e-6, 20e-6], open_pulses=1, on_time=30e-6):.0f} µs")
    30 µs
    """
    if len(delays) == 0:
        raise InputRefused("delays must hold at least one pulse that ignited, got none; record for longer")
    if open_pulses < 0:
        raise InputRefused(f"open_pulses must be at least 0, got {open_pulses}")
    require_positive("on_time", on_time, "s")
    for delay in delays:
        require_not_negative("delays", delay, "s")
    return (math.fsum(delays) + open_pulses * on_time) / len(delays)
