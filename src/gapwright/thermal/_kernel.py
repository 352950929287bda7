"""Compiled cores of removal: energy of one spark to volume, width and depth of its crater.

A member of a forecast holds a number between 0 and 1 for each uncertain
constant; the quantiles here turn it into the constant. SI units throughout.
"""

import math
from typing import NamedTuple

from gapwright.base.compiled import compiled

Z95 = 1.6448536269514722  # standard normal quantile of 0.95
CENTRE_TOP = (
    3.3871328727963666080,
    1.3314166789178437745e2,
    1.9715909503065514427e3,
    1.3731693765509461125e4,
    4.5921953931549871457e4,
    6.7265770927008700853e4,
    3.3430575583588128105e4,
    2.5090809287301226727e3,
)
CENTRE_BOTTOM = (
    1.0,
    4.2313330701600911252e1,
    6.8718700749205790830e2,
    5.3941960214247511077e3,
    2.1213794301586595867e4,
    3.9307895800092710610e4,
    2.8729085735721942674e4,
    5.2264952788528545610e3,
)
SIDE_TOP = (
    1.42343711074968357734,
    4.63033784615654529590,
    5.76949722146069140550,
    3.64784832476320460504,
    1.27045825245236838258,
    2.41780725177450611770e-1,
    2.27238449892691845833e-2,
    7.74545014278341407640e-4,
)
SIDE_BOTTOM = (
    1.0,
    2.05319162663775882187,
    1.67638483018380384940,
    6.89767334985100004550e-1,
    1.48103976427480074590e-1,
    1.51986665636164571966e-2,
    5.47593808499534494600e-4,
    1.05075007164441684324e-9,
)
TAIL_TOP = (
    6.65790464350110377720,
    5.46378491116411436990,
    1.78482653991729133580,
    2.96560571828504891230e-1,
    2.65321895265761230930e-2,
    1.24266094738807843860e-3,
    2.71155556874348757815e-5,
    2.01033439929228813265e-7,
)
TAIL_BOTTOM = (
    1.0,
    5.99832206555887937690e-1,
    1.36929880922735805310e-1,
    1.48753612908506148525e-2,
    7.86869131145613259100e-4,
    1.84631831751005468180e-5,
    1.42151175831644588870e-7,
    2.04426310338993978564e-15,
)


class RemovalConstants(NamedTuple):
    """The law of removal as the kernels take it; made by `gapwright.thermal.removal.RemovalLaw`."""

    median: float
    largest: float
    small_energy: float
    large_energy: float
    small_band: float
    large_band: float
    width_scale: float
    width_exponent: float


@compiled
def _ratio(x: float, top: tuple[float, ...], bottom: tuple[float, ...]) -> float:
    """Quotient of two polynomials of degree seven, lowest power first."""
    p = top[7]
    q = bottom[7]
    for i in range(6, -1, -1):
        p = p * x + top[i]
        q = q * x + bottom[i]
    return p / q


@compiled
def normal_quantile(chance: float) -> float:
    """Standard normal quantile to 16 digits (Wichura 1988, algorithm AS 241)."""
    q = chance - 0.5
    if abs(q) <= 0.425:
        return q * _ratio(0.180625 - q * q, CENTRE_TOP, CENTRE_BOTTOM)
    r = math.sqrt(-math.log(chance if q < 0.0 else 1.0 - chance))
    size = _ratio(r - 1.6, SIDE_TOP, SIDE_BOTTOM) if r <= 5.0 else _ratio(r - 5.0, TAIL_TOP, TAIL_BOTTOM)
    return -size if q < 0.0 else size


@compiled
def normal_share(z: float) -> float:
    """Share of a standard normal population below z."""
    return 0.5 * math.erfc(-z / math.sqrt(2.0))


@compiled
def split_quantile(chance: float, median: float, low: float, high: float) -> float:
    """Quantile of a log-normal whose 5th and 95th percentiles lie at `low` and `high`."""
    z = normal_quantile(chance) / Z95
    factor: float = (high / median) ** z if z > 0.0 else (low / median) ** (-z)
    return median * factor


@compiled
def truncated_quantile(chance: float, median: float, spread: float, low: float, high: float) -> float:
    """Quantile of a log-normal with this median and spread of logarithms, cut off at `low` and `high`.

    Nothing is rejected: even chances stay even. With `low` at `high` there is one value.
    """
    if low >= high:
        return high
    below = normal_share(math.log(low / median) / spread) if low > 0.0 else 0.0
    above = normal_share(math.log(high / median) / spread)
    return median * math.exp(spread * normal_quantile(below + chance * (above - below)))


@compiled
def removal_band(energy: float, law: RemovalConstants) -> float:
    """Factor of the 90 % band of removal per energy at this spark energy."""
    if energy >= law.large_energy:
        return law.large_band
    if energy <= law.small_energy:
        return law.small_band
    place = math.log(energy / law.small_energy) / math.log(law.large_energy / law.small_energy)
    rise: float = (law.large_band / law.small_band) ** place
    return law.small_band * rise


@compiled
def removal_per_energy(chance: float, energy: float, law: RemovalConstants) -> float:
    """Volume removed per joule of gap energy [m³/J], at this quantile of the truncated law."""
    spread = math.log(removal_band(energy, law)) / Z95
    return truncated_quantile(chance, law.median, spread, 0.0, law.largest)


@compiled
def crater_width(energy: float, law: RemovalConstants) -> float:
    """Width of the crater of one spark [m]."""
    power: float = energy**law.width_exponent
    return law.width_scale * power


@compiled
def crater_depth(volume: float, width: float) -> float:
    """Depth of a parabolic bowl of this volume and width [m]."""
    return 8.0 * volume / (math.pi * width * width)


@compiled
def scattered(mean: float, normal: float, spread: float) -> float:
    """One log-normal value around `mean`, from a standard normal draw; keeps the mean."""
    return mean * math.exp(spread * normal - 0.5 * spread * spread)
