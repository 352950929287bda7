"""Laws of control: from the sensed gap to a commanded speed, positive into the work."""

from dataclasses import dataclass

from gapwright.base.checks import require_between, require_finite, require_positive
from gapwright.base.units import Number, Seconds, Speed
from gapwright.motion._kernel import hysteresis_state, low_passed, proportional_command


@dataclass(frozen=True, slots=True, kw_only=True)
class Proportional:
    """Feed in proportion to mean gap voltage above the set point; retract on a short.

    `set_point`, `short_below` and `resume_above` are shares of the open
    voltage. Once the mean sinks below `short_below` the electrode goes back
    at `retract_speed` until it is above `resume_above`.
    """

    set_point: Number = 0.5
    gain: Speed = 2e-3
    retract_speed: Speed = 3e-3
    short_below: Number = 0.1
    resume_above: Number = 0.3

    def __post_init__(self) -> None:
        """Refuse thresholds out of order."""
        require_between("set_point", self.set_point, 0.05, 0.98, "")
        require_positive("gain", self.gain, "m/s")
        require_positive("retract_speed", self.retract_speed, "m/s")
        require_between("resume_above", self.resume_above, 0.0, 1.0, "")
        require_between("short_below", self.short_below, 0.0, self.resume_above, "")


def proportional_speed(mean_share: Number, *, set_point: Number, gain: Speed) -> Speed:
    r"""Speed that the proportional law commands.

    Parameters
    ----------
    mean_share
        Mean gap voltage as a share of the open voltage.
    set_point
        Share that the law holds, 0.05 to 0.98.
    gain
        Speed for a whole open voltage above the set point, above 0. [m/s]

    Returns
    -------
    speed
        Commanded speed, positive into the work. [m/s]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: v = K (\bar V - s^*)

    Holds within the limits of the axis. Leaves out: shorts, see `retracts`.

    References
    ----------
    common practice, no source

    Examples
    --------
    >>> v = proportional_speed(0.6, set_point=0.5, gain=2e-3)
    >>> print(f"{1e6 * v:.0f} µm/s")
    200 µm/s
    """
    require_finite("mean_share", mean_share, "")
    require_between("set_point", set_point, 0.05, 0.98, "")
    require_positive("gain", gain, "m/s")
    return proportional_command(mean_share, set_point, gain)


@dataclass(frozen=True, slots=True, kw_only=True)
class Hysteresis:
    """Two speeds and a dead band: feed above it, go back below it, go on as before within."""

    set_point: Number = 0.5
    half_band: Number = 0.05
    feed_speed: Speed = 20e-6
    back_speed: Speed = 100e-6

    def __post_init__(self) -> None:
        """Refuse a band that leaves the scale, or speeds that do not move."""
        require_between("set_point", self.set_point, 0.05, 0.98, "")
        require_between("half_band", self.half_band, 0.0, min(self.set_point, 1.0 - self.set_point), "")
        require_positive("feed_speed", self.feed_speed, "m/s")
        require_positive("back_speed", self.back_speed, "m/s")


def hysteresis_speed(share: Number, *, before: Speed, law: Hysteresis) -> Speed:
    r"""Speed that the law with hysteresis commands.

    Parameters
    ----------
    share
        What is sensed, as a share: store voltage over open voltage, say.
    before
        Speed commanded before; its sign says which way. [m/s]
    law
        Band and speeds.

    Returns
    -------
    speed
        Commanded speed, positive into the work. [m/s]

    Raises
    ------
    InputRefused
        If a value above is not finite.

    Notes
    -----
    .. math:: v = \begin{cases} v_f & s > s^* + h \\ -v_r & s < s^* - h \\
              \text{as before} & \text{between} \end{cases}

    Holds within the limits of the axis. Leaves out: shorts and lifts.

    References
    ----------
    from memory: band and speeds

    Examples
    --------
    >>> law = Hysteresis(set_point=0.5)
    >>> for share in (0.6, 0.5, 0.4):
    ...     print(f"{1e6 * hysteresis_speed(share, before=20e-6, law=law):.0f} µm/s")
    20 µm/s
    20 µm/s
    -100 µm/s
    """
    require_finite("share", share, "")
    require_finite("before", before, "m/s")
    was = (before > 0.0) - (before < 0.0)
    state = hysteresis_state(was, share, law.set_point, law.half_band)
    if state == 0:
        return 0.0
    return law.feed_speed if state > 0 else -law.back_speed


def retracts(mean_share: Number, *, retracting: bool, law: Proportional) -> bool:
    """Whether the electrode goes back because of a short: begins below one threshold, ends above another.

    Parameters
    ----------
    mean_share
        Mean gap voltage as a share of the open voltage.
    retracting
        Whether the electrode is going back already.
    law
        The law and its thresholds.

    Raises
    ------
    InputRefused
        If the mean is not finite.
    """
    require_finite("mean_share", mean_share, "")
    return mean_share < (law.resume_above if retracting else law.short_below)


def filtered(previous: Number, *, sample: Number, interval: Seconds, time_constant: Seconds) -> Number:
    r"""Mean gap voltage as a first-order filter sees it.

    Parameters
    ----------
    previous
        Output of the filter before.
    sample
        Voltage, as a share of the open voltage, that has held since.
    interval
        Time since, above 0. [s]
    time_constant
        Time constant of the filter, above 0. [s]

    Returns
    -------
    mean
        Output of the filter now.

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: y = x + (y_0 - x) e^{-t/\tau}

    Holds exactly for a sample that stands still meanwhile. Leaves out: the converter's steps.

    References
    ----------
    circuit-theory, first-order filter

    Examples
    --------
    >>> print(f"{filtered(0.0, sample=1.0, interval=2e-3, time_constant=2e-3):.3f}")
    0.632
    """
    require_finite("previous", previous, "")
    require_finite("sample", sample, "")
    require_positive("interval", interval, "s")
    require_positive("time_constant", time_constant, "s")
    return low_passed(previous, sample, interval, time_constant)
