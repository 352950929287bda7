"""Ignition delays of two kinds: the mixture of two Weibull laws seen in water."""

import math
from dataclasses import dataclass

from gapwright.base.checks import require_not_negative, require_positive
from gapwright.base.units import Metres, Number
from gapwright.gap._kernel_memory import MixtureConstants
from gapwright.gap._kernel_memory import prompt_share as prompt_share_core


@dataclass(frozen=True, slots=True, kw_only=True)
class TwoWeibull:
    """Prompt and late ignitions: each a Weibull law of the exposure, mixed by the gap.

    The means are relative to each other only: the mixture always has the mean of the
    hazard. That there are two laws whose weights change at 8 to 10 µm is published;
    every number but that gap is a guess to be calibrated.
    """

    critical_gap: Metres = 9e-6
    steepness: Number = 4.0
    prompt_shape: Number = 0.8
    prompt_mean: Number = 0.5
    late_shape: Number = 1.5
    late_mean: Number = 1.5

    def __post_init__(self) -> None:
        """Refuse constants that are not above 0."""
        require_positive("critical_gap", self.critical_gap, "m")
        require_positive("steepness", self.steepness, "")
        require_positive("prompt_shape", self.prompt_shape, "")
        require_positive("prompt_mean", self.prompt_mean, "")
        require_positive("late_shape", self.late_shape, "")
        require_positive("late_mean", self.late_mean, "")

    def constants(self, *, on: bool) -> MixtureConstants:
        """The same numbers as the kernels take them; not `on` means exponential delays."""
        return MixtureConstants(
            on=1.0 if on else 0.0,
            critical_gap=self.critical_gap,
            steepness=self.steepness,
            prompt_shape=self.prompt_shape,
            prompt_mean=self.prompt_mean,
            prompt_scale=self.prompt_mean / math.gamma(1.0 + 1.0 / self.prompt_shape),
            late_shape=self.late_shape,
            late_mean=self.late_mean,
            late_scale=self.late_mean / math.gamma(1.0 + 1.0 / self.late_shape),
        )


def prompt_share(gap: Metres, *, law: TwoWeibull) -> Number:
    r"""Share of ignitions that are prompt.

    Parameters
    ----------
    gap
        Distance between the electrodes, above 0. [m]
    law
        The two laws.

    Returns
    -------
    share
        Share of the prompt law, a half at the critical gap.

    Raises
    ------
    InputRefused
        If the gap is not above 0.

    Notes
    -----
    .. math:: w = \frac{1}{1 + (g / g_c)^m}

    Holds as a working law. Leaves out: debris, which makes ignitions prompt in a wide gap too.

    References
    ----------
    borges-esteves-2023, abstract: two regimes that part at 8 to 10 µm
    from memory: the steepness

    Examples
    --------
    >>> print(f"{prompt_share(9e-6, law=TwoWeibull()):.2f}")
    0.50
    """
    require_positive("gap", gap, "m")
    return prompt_share_core(gap, law.constants(on=True))


def mixture_waiting_share(exposure: Number, *, gap: Metres, law: TwoWeibull) -> Number:
    r"""Share of gaps that still wait after an exposure, with delays of two kinds.

    Parameters
    ----------
    exposure
        Integral of the hazard over time, at least 0; at its mean the exponential law leaves 37 %.
    gap
        Distance between the electrodes, above 0. [m]
    law
        The two laws.

    Returns
    -------
    share
        Share that still waits, 0 to 1.

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: S(x) = w\, e^{-(x/a_1)^{k_1}} + (1 - w)\, e^{-(x/a_2)^{k_2}}

    with scales such that the mean of x is 1 at every gap.
    Holds as a working law for a gap that stands still meanwhile.
    Leaves out: a gap that changes while it waits.

    References
    ----------
    borges-esteves-2023, abstract: a mixture of two Weibull laws fits
    from memory: shapes and means

    Examples
    --------
    >>> print(f"{mixture_waiting_share(1.0, gap=9e-6, law=TwoWeibull()):.3f}")
    0.386
    """
    require_not_negative("exposure", exposure, "")
    k = law.constants(on=True)
    share = prompt_share(gap, law=law)
    mean = share * k.prompt_mean + (1.0 - share) * k.late_mean
    prompt = math.exp(-((exposure * mean / k.prompt_scale) ** k.prompt_shape))
    late = math.exp(-((exposure * mean / k.late_scale) ** k.late_shape))
    return share * prompt + (1.0 - share) * late
