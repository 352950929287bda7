"""Open voltage, burning voltage, zero and noise, found in the capture itself.

A small sample of the capture is enough: windows spread over all of it. First
come noise and zero of both channels, then a rough pass over the windows,
whose waits and discharges give the levels.
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from gapwright.base.errors import InputRefused
from gapwright.capture.settings import ReadingSettings
from gapwright.capture.waveform import Capture

Values = NDArray[np.float64]
LevelFrom = Literal["capture", "given", "usual"]

WINDOWS, WINDOW = 48, 16_384
"""Windows that are looked at, and samples in each."""
APART = 1.6
"""Open over burning voltage from which all classes can be told."""
SIGMA = 1.4826
"""Standard deviation over the median deviation of a normal law."""
FLOOR_STEPS, FLOOR_SHARE = 0.3, 1e-5
"""Least noise in steps of the recorder (rounding: 1 over the root of 12), and in shares of the span."""
PLATEAU_SHARE = 0.02
"""Share of the quiet samples that must stay at the top for it to be the open voltage."""
PLATEAU_CROWD = 2.0
"""So many times more samples must stay at the top than just as wide a band below it holds."""
ENOUGH = 20
"""Samples or sparks that a level needs."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Level:
    """A level, how sure it is, and where it came from."""

    value: float
    uncertainty: float
    """Standard uncertainty, in the level's own unit."""
    from_: LevelFrom


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Windows:
    """Windows spread over a capture, one in each row."""

    volts: Values
    amperes: Values | None
    rate: float


def windows_of(capture: Capture) -> Windows:
    """Windows spread evenly over a capture, none across a gap in time."""
    places = []
    lengths = capture.segments.lengths
    width = int(min(WINDOW, lengths.max()))
    share = np.maximum(np.rint(WINDOWS * lengths / lengths.sum()), 0).astype(int)
    for start, length, count in zip(capture.segments.starts, lengths, share, strict=True):
        if length >= width and count:
            count = min(count, -(-int(length) // width))
            places += list(start + np.linspace(0, length - width, count).astype(int))
    if not places:
        places = [int(capture.segments.starts[np.argmax(lengths)])]
    volts = np.array([capture.volts(a, a + width) for a in places], dtype=np.float64)
    amperes = None
    if capture.current is not None:
        amperes = np.array([capture.amperes(a, a + width) for a in places], dtype=np.float64)
    return Windows(volts=volts, amperes=amperes, rate=capture.rate)


def fast_noise(values: Values, step: float) -> float:
    """Noise from sample to sample, blind to edges and slopes, at least that of rounding."""
    changes = np.diff(values, n=2, axis=-1)
    middle = float(np.median(np.abs(changes)))
    return max(SIGMA * middle / float(np.sqrt(6.0)), least_noise(values, step))


def lowest_cluster(values: Values, width: float) -> float:
    """Middle of the lowest place at which samples gather.

    Samples are counted in bins as wide as the noise; the lowest bin that holds
    more than a twentieth of the fullest and is a summit begins the search.
    """
    low, high = float(values.min()), float(values.max())
    width = max(width, (high - low) / 4000.0, 1e-12)
    bins = np.bincount(((values - low) / width).astype(int))
    smooth = np.convolve(bins, [1.0, 1.0, 1.0], "same")
    enough = smooth >= 0.05 * smooth.max()
    place = int(np.argmax(enough))
    while place + 1 < smooth.size and smooth[place + 1] >= smooth[place]:
        place += 1
    middle = low + (place + 0.5) * width
    for _ in range(3):
        near = values[np.abs(values - middle) < 3.0 * width]
        middle = float(np.median(near)) if near.size else middle
    return middle


def least_noise(values: Values, step: float) -> float:
    """Noise that is taken where none shows: that of rounding, or a share of all that was seen."""
    return max(FLOOR_STEPS * step, FLOOR_SHARE * float(np.ptp(values)))


def current_zero(windows: Windows, step: float) -> tuple[float, float]:
    """Zero line and noise of the current, in amperes.

    The noise is that of the samples around zero: hum and slow unrest count too.
    """
    if windows.amperes is None:
        raise TypeError("there is no current")
    values = windows.amperes.ravel()[::3]
    floor = least_noise(values, step)
    width = max(fast_noise(windows.amperes, step), floor)
    zero = lowest_cluster(values, width)
    for _ in range(4):
        near = np.abs(values - zero) <= 4.0 * width + step
        zero, width = float(np.mean(values[near])), max(float(np.std(values[near])), floor)
    return zero, width


def voltage_noise(windows: Windows, *, zero: float, noise: float, step: float) -> float:
    """Noise in volts where no current flows; unrest of burning sparks is none."""
    if windows.amperes is None:
        return fast_noise(windows.volts, step)
    calm = np.abs(windows.amperes - zero) < 4.0 * noise
    bends = np.diff(windows.volts, n=2, axis=-1)[calm[:, :-2] & calm[:, 1:-1] & calm[:, 2:]]
    if bends.size < ENOUGH:
        return fast_noise(windows.volts, step)
    limit = 6.0 * max(SIGMA * float(np.median(np.abs(bends))), step)
    inside = bends[np.abs(bends) <= limit]
    return max(float(np.sqrt(np.mean(inside**2) / 6.0)), least_noise(windows.volts, step))


def burning_level(windows: Windows, *, zero: float, noise: float, least: float) -> tuple[float, float] | None:
    """Voltage while a large current flows, and its standard uncertainty; None where there is none."""
    if windows.amperes is None:
        return None
    large = windows.amperes - zero
    flowing = large > 6.0 * noise
    if np.count_nonzero(flowing) < ENOUGH:
        return None
    v = windows.volts[large > 0.3 * np.quantile(large[flowing], 0.98)]
    v = v[v > least]
    if v.size < ENOUGH:
        return None
    return float(np.median(v)), SIGMA * float(np.median(np.abs(v - np.median(v)))) / np.sqrt(v.size)


def plateau(quiet_volts: Values, noise: float) -> tuple[float, float]:
    """Highest voltage at which a quiet gap stays, and the share of samples that stay there."""
    top = float(np.quantile(quiet_volts, 0.999)) - 3.0 * noise
    near = quiet_volts[np.abs(quiet_volts - top) < 2.5 * noise]
    if near.size < ENOUGH:
        return top, 0.0
    for _ in range(4):
        top = float(np.median(near))
        near = quiet_volts[np.abs(quiet_volts - top) < 2.5 * noise]
    below = np.count_nonzero(np.abs(quiet_volts - top + 5.0 * noise) < 2.5 * noise)
    if near.size < PLATEAU_CROWD * below:
        return top, 0.0
    return top, near.size / quiet_volts.size


def charging_end(
    volts: Values, quiet: NDArray[np.bool_], *, low: float, high: float
) -> tuple[float, float] | None:
    """Voltage at which charging would end, from how its slope falls with the voltage.

    In a capacitor charged through a resistor the slope falls in proportion to
    what is missing. Gives that voltage and its standard uncertainty, or None
    where the slope does not fall to zero in a straight line.
    """
    lag = 16
    calm = quiet[:, lag:] & quiet[:, :-lag] & quiet[:, lag // 2 : -(lag // 2)]
    rise = (volts[:, lag:] - volts[:, :-lag])[calm]
    middle = volts[:, lag // 2 : -(lag // 2)][calm]
    inside = (middle > low) & (middle < high) & (rise > -0.2 * (high - low))
    if np.count_nonzero(inside) < 50 * ENOUGH:
        return None
    edges = np.linspace(low, high, 13)
    of = np.digitize(middle[inside], edges) - 1
    count = np.bincount(of, minlength=12)[:12]
    mean = np.bincount(of, weights=rise[inside], minlength=12)[:12] / np.maximum(count, 1)
    good = count > ENOUGH
    if np.count_nonzero(good) < 6:
        return None
    centre = 0.5 * (edges[1:] + edges[:-1])[good]
    (slope, offset), cover = np.polyfit(centre, mean[good], 1, w=np.sqrt(count[good]), cov=True)
    if slope >= -3.0 * np.sqrt(cover[0, 0]):
        return None
    end = -offset / slope
    u = np.sqrt(cover[1, 1] + end**2 * cover[0, 0] + 2 * end * cover[0, 1]) / abs(slope)
    return float(end), float(u)


def given_or(value: float | None, found: tuple[float, float] | None, name: str, unit: str) -> Level:
    """The level that was given, else the one that was found; a refusal where there is neither."""
    if value is not None:
        return Level(value=value, uncertainty=0.0, from_="given")
    if found is None:
        raise InputRefused(
            f"{name} must show in the capture or be given, got too few samples that show it; "
            f"give {name} in {unit}, or record longer"
        )
    return Level(value=found[0], uncertainty=found[1], from_="capture")


def refuse_if_alike(open_level: Level, burning: Level, noise: float, settings: ReadingSettings) -> None:
    """Refuse levels that the noise hides from each other.

    Raises
    ------
    InputRefused
        If open and burning voltage are less than six noises apart.
    """
    if open_level.value - burning.value < 6.0 * noise and not settings.dry:
        raise InputRefused(
            f"open and burning voltage must be at least 6 times the noise ({noise:.3g} V) apart to be told "
            f"from each other, got {open_level.value:.3g} V and {burning.value:.3g} V; "
            "give open_voltage and burning_voltage, or record with less noise"
        )
