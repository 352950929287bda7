"""Debris in the gap: how much there is, how fast it leaves, how often it bridges."""

from dataclasses import dataclass
from enum import StrEnum

from gapwright.base.checks import require_between, require_not_negative, require_positive
from gapwright.base.units import CubicMetres, Metres, Number, Seconds
from gapwright.gap._kernel import bridging_chance, debris_after


class FlushingKind(StrEnum):
    """How liquid gets into the gap."""

    THROUGH = "through"
    SIDE = "side"
    NONE = "none"


@dataclass(frozen=True, slots=True, kw_only=True)
class DebrisLaw:
    """Constants of debris, all from memory or guessed: calibrate before leaning on them.

    `cap` is the share of debris that a gap can hold; `stickiness` scales the
    chance of a bridge; the times are those of clearing at the entry.
    """

    cap: Number = 0.3
    stickiness: Number = 0.02
    particle: Metres = 3e-6
    through_time: Seconds = 30e-3
    side_time: Seconds = 0.2
    still_time: Seconds = 1.0
    reach: Number = 5.0

    def __post_init__(self) -> None:
        """Refuse constants outside their ranges."""
        require_between("cap", self.cap, 0.01, 1.0, "")
        require_not_negative("stickiness", self.stickiness, "")
        require_positive("particle", self.particle, "m")
        require_positive("through_time", self.through_time, "s")
        require_positive("side_time", self.side_time, "s")
        require_positive("still_time", self.still_time, "s")
        require_positive("reach", self.reach, "")

    def entry_time(self, kind: FlushingKind) -> Seconds:
        """Time of clearing near the entry [s]."""
        if kind is FlushingKind.THROUGH:
            return self.through_time
        return self.side_time if kind is FlushingKind.SIDE else self.still_time


USUAL = DebrisLaw()
"""Where to start before anything is calibrated."""


def flushing_time(depth: Metres, *, kind: FlushingKind, diameter: Metres, law: DebrisLaw = USUAL) -> Seconds:
    r"""Time constant with which debris leaves the gap.

    Parameters
    ----------
    depth
        Depth of the hole, at least 0. [m]
    kind
        How liquid gets into the gap.
    diameter
        Diameter of the electrode, above 0. [m]
    law
        Constants of debris.

    Returns
    -------
    time
        Time constant of clearing. [s]

    Raises
    ------
    InputRefused
        If depth or diameter is not in its stated range.

    Notes
    -----
    .. math:: \tau = \tau_0 \left(1 + (z / 5 d)^2\right)

    With liquid through the electrode depth does not count.
    Holds as an order of magnitude: 20 to 50 ms flushed through, 0.2 to 5 s still.
    Leaves out: rotation, lifting, bubbles, the size of the gap.

    References
    ----------
    from memory, common practice

    Examples
    --------
    >>> time = flushing_time(2.5e-3, kind=FlushingKind.SIDE, diameter=0.5e-3)
    >>> print(f"{time:.1f} s")
    0.4 s
    """
    require_not_negative("depth", depth, "m")
    require_positive("diameter", diameter, "m")
    entry = law.entry_time(kind)
    if kind is FlushingKind.THROUGH:
        return entry
    return entry * (1.0 + (depth / (law.reach * diameter)) ** 2)


def debris_share(
    share: Number,
    *,
    duration: Seconds,
    added: CubicMetres,
    gap_volume: CubicMetres,
    clearing: Seconds,
    cap: Number = USUAL.cap,
) -> Number:
    r"""Share of the gap's volume that is debris, some time later.

    Parameters
    ----------
    share
        Share now, 0 to 1.
    duration
        Time that passes, above 0. [s]
    added
        Metal removed into the gap meanwhile, at least 0. [m³]
    gap_volume
        Volume of the gap, above 0. [m³]
    clearing
        Time constant of clearing, above 0. [s]
    cap
        Share that the gap can hold, up to 1.

    Returns
    -------
    share
        Share after the time.

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: \frac{dc}{dt} = \frac{\dot V}{V_{gap}} - \frac{c}{\tau}, \quad c \le c_{max}

    Holds for a gap that mixes well and metal that comes evenly.
    Leaves out: settling, gas, debris that swells (oxide).

    References
    ----------
    from memory, balance of a mixed volume

    Examples
    --------
    >>> c = debris_share(0.0, duration=0.1, added=2e-13, gap_volume=2e-12, clearing=30e-3)
    >>> print(f"{c:.3f}")
    0.029
    """
    require_between("share", share, 0.0, 1.0, "")
    require_positive("duration", duration, "s")
    require_not_negative("added", added, "m³")
    require_positive("gap_volume", gap_volume, "m³")
    require_positive("clearing", clearing, "s")
    require_between("cap", cap, 0.0, 1.0, "")
    return debris_after(share, duration, added, gap_volume, clearing, cap)


def bridging_probability(debris: Number, *, gap: Metres, law: DebrisLaw = USUAL) -> Number:
    r"""Chance that one discharge leaves a conducting bridge of debris.

    Parameters
    ----------
    debris
        Share of the gap's volume that is debris, 0 to 1.
    gap
        Distance between the electrodes, above 0. [m]
    law
        Constants of debris.

    Returns
    -------
    chance
        Chance per discharge, 0 to 1.

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: p = k\, c\, d_p / g

    Holds as a working law; the stickiness varies from 0.002 to 0.3 between rigs.
    Leaves out: chains drawn together by the field, magnetic metal.

    References
    ----------
    from memory, working law

    Examples
    --------
    >>> print(f"{100 * bridging_probability(0.3, gap=10e-6):.2f} %")
    0.18 %
    """
    require_between("debris", debris, 0.0, 1.0, "")
    require_positive("gap", gap, "m")
    return bridging_chance(debris, gap, law.particle, law.stickiness)


def bridge_retraction(gap: Metres, *, least: Metres = 5e-6) -> Metres:
    r"""How far to draw back until a bridge of debris lets go.

    Parameters
    ----------
    gap
        Distance between the electrodes, at least 0. [m]
    least
        Least distance that clears a bridge, above 0. [m]

    Returns
    -------
    distance
        Distance to draw back. [m]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: s = \max(s_0, g/2)

    Holds as a working law. Leaves out: a bridge that burns away, after about three discharges.

    References
    ----------
    from memory, working law

    Examples
    --------
    >>> print(f"{1e6 * bridge_retraction(20e-6):.0f} µm")
    10 µm
    """
    require_not_negative("gap", gap, "m")
    require_positive("least", least, "m")
    return max(least, 0.5 * gap)
