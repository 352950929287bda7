"""Counts of a controller's timer: compare value from clock, prescaler and frequency, and back."""

from gapwright.base.checks import require_positive
from gapwright.base.errors import InputRefused
from gapwright.base.units import Hertz, Seconds

_EXACT = 1e-9
"""How far a count may be from whole by the rounding of binary numbers alone."""


def compare_value(frequency: Hertz, *, clock: Hertz, prescaler: int = 1) -> int:
    r"""Value at which a timer must start anew to give a frequency exactly.

    Parameters
    ----------
    frequency
        Frequency of the timer's rounds, above 0. [Hz]
    clock
        Frequency of the controller's clock, above 0. [Hz]
    prescaler
        Clock ticks for each count, at least 1.

    Returns
    -------
    value
        Highest count, at least 0; the timer counts from 0, so a round has one more.

    Raises
    ------
    InputRefused
        If a value above is not in its stated range, or no whole count gives the frequency;
        the message names what the two nearest counts give.

    Notes
    -----
    .. math:: n = \frac{f_{clk}}{N f} - 1

    Holds for a timer that counts up and starts anew after the compare value.
    Leaves out: timers that count up and down, which take twice as long.

    References
    ----------
    timer-form

    Examples
    --------
    >>> compare_value(40e3, clock=16e6)
    399
    """
    require_positive("frequency", frequency, "Hz")
    _require_clock(clock, prescaler)
    counts = clock / (prescaler * frequency)
    whole = round(counts)
    if counts < 1.0 - _EXACT:
        raise InputRefused(
            f"frequency must be at most that of the counted clock, {clock / prescaler:g} Hz, "
            f"got {frequency:g} Hz; take a smaller prescaler or a faster clock"
        )
    if abs(counts - whole) > _EXACT * counts:
        slow, fast = (clock / (prescaler * n) for n in (int(counts) + 1, int(counts)))
        raise InputRefused(
            f"frequency must be a whole part of the counted clock, got {frequency:g} Hz; "
            f"the nearest are {slow:.10g} Hz and {fast:.10g} Hz"
        )
    return whole - 1


def _require_clock(clock: Hertz, prescaler: int) -> None:
    """Refuse a clock that does not count."""
    require_positive("clock", clock, "Hz")
    if prescaler < 1:
        raise InputRefused(f"prescaler must be at least 1, got {prescaler}")


def _require_value(value: int) -> None:
    """Refuse a compare value below 0."""
    if value < 0:
        raise InputRefused(f"value must be at least 0, got {value}")


def timer_frequency(value: int, *, clock: Hertz, prescaler: int = 1) -> Hertz:
    r"""Frequency of a timer's rounds with a compare value.

    Parameters
    ----------
    value
        Highest count, at least 0.
    clock
        Frequency of the controller's clock, above 0. [Hz]
    prescaler
        Clock ticks for each count, at least 1.

    Returns
    -------
    frequency
        Rounds per second. [Hz]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: f = \frac{f_{clk}}{N (1 + n)}

    Holds for a timer that counts up and starts anew after the compare value.
    Leaves out: timers that count up and down; the error of the clock.

    References
    ----------
    timer-form

    Examples
    --------
    >>> timer_frequency(399, clock=16e6)
    40000.0
    """
    _require_clock(clock, prescaler)
    _require_value(value)
    return clock / (prescaler * (1 + value))


def toggled_frequency(value: int, *, clock: Hertz, prescaler: int = 1) -> Hertz:
    r"""Frequency of an output that changes sides after each round of a timer.

    Parameters
    ----------
    value
        Highest count, at least 0.
    clock
        Frequency of the controller's clock, above 0. [Hz]
    prescaler
        Clock ticks for each count, at least 1.

    Returns
    -------
    frequency
        Whole periods of the output per second. [Hz]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: f = \frac{f_{clk}}{2 N (1 + n)}

    Holds for a timer that counts up and starts anew after the compare value.
    Leaves out: the error of the clock.

    References
    ----------
    timer-form

    Examples
    --------
    >>> toggled_frequency(199, clock=16e6, prescaler=8)
    5000.0
    """
    return 0.5 * timer_frequency(value, clock=clock, prescaler=prescaler)


def on_counts(on_time: Seconds, *, clock: Hertz, prescaler: int = 1) -> int:
    r"""Counts for which an output must be on to last a time exactly.

    Parameters
    ----------
    on_time
        Time for which the output is on, above 0. [s]
    clock
        Frequency of the controller's clock, above 0. [Hz]
    prescaler
        Clock ticks for each count, at least 1.

    Returns
    -------
    counts
        Whole number of counts, at least 1.

    Raises
    ------
    InputRefused
        If a value above is not in its stated range, or no whole count lasts that time;
        the message names what the two nearest counts last.

    Notes
    -----
    .. math:: n = \frac{t f_{clk}}{N}

    Holds for any timer.
    Leaves out: delay of driver and switch.

    References
    ----------
    definition

    Examples
    --------
    >>> on_counts(12e-6, clock=16e6)
    192
    """
    require_positive("on_time", on_time, "s")
    _require_clock(clock, prescaler)
    counts = on_time * clock / prescaler
    whole = round(counts)
    if abs(counts - whole) > _EXACT * counts:
        short, long = (n * prescaler / clock for n in (int(counts), int(counts) + 1))
        raise InputRefused(
            f"on_time must be a whole number of counts of {prescaler / clock:.10g} s, got {on_time:g} s; "
            f"the nearest are {short:.10g} s and {long:.10g} s"
        )
    return whole
