"""What the forecast's laws and priors give where a figure was published, and why some figures cannot be met.

Each band is the 5th, 50th and 95th percentile over the same uncertain constants
as those of a forecast, spread evenly by a Sobol sequence. Nothing here is fitted
to the figures it is compared with.
"""

from collections.abc import Callable
from dataclasses import dataclass
from math import pi

import numpy as np
from numpy.typing import NDArray
from scipy.stats import qmc

from gapwright.facts.materials import material
from gapwright.facts.priors import Prior, prior, wear_ratio
from gapwright.thermal.absorption import absorbed_share_quantile
from gapwright.thermal.crater import crater_width
from gapwright.thermal.removal import removal_per_energy_quantile

Draws = NDArray[np.float64]
DRAWS = 2048
NITI_DENSITY, COPPER_DENSITY = 6450.0, 8960.0  # kg/m³; the first from memory


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """Our band, in SI units, and what stands behind it; `trend` only says whether the sense agrees."""

    low: float
    median: float
    high: float
    how: str
    trend: bool | None = None


def chances(count: int) -> list[Draws]:
    """Evenly spread chances for `count` independent constants."""
    points = qmc.Sobol(count, scramble=True, rng=11).random(DRAWS)
    return list(np.clip(points, 1e-6, 1.0 - 1e-6).T)


def drawn(of: Prior, chance: Draws) -> Draws:
    """A prior's value at each chance."""
    return np.array([of.quantile(float(u)) for u in chance])


def band(values: Draws, how: str) -> Band:
    """Band of drawn values."""
    low, median, high = np.quantile(values, [0.05, 0.5, 0.95])
    return Band(low=float(low), median=float(median), high=float(high), how=how)


def removal_rate(
    *, amperes: float, on: float, off: float, burning: str = "burning-voltage-oil"
) -> tuple[Draws, Draws]:
    """Removal of a pulse generator, every pulse fired, over the constants; and a chance to spare."""
    u = chances(6)
    volts = drawn(prior(burning), u[0])
    energy = volts * amperes * on
    each = np.array(
        [removal_per_energy_quantile(float(c), float(e)) for c, e in zip(u[1], energy, strict=True)]
    )
    rate = (
        each
        * (energy / (on + off))
        * drawn(prior("effective-share"), u[2])
        * drawn(prior("polarity-factor"), u[3])
        * drawn(prior("hole-scatter"), u[4])
    )
    return rate, u[5]


def absorbed_by_both() -> Band:
    u = chances(3)
    energy = 1e-6
    work = np.array(
        [
            absorbed_share_quantile(float(a), removal_per_energy_quantile(float(b), energy))
            for a, b in zip(u[0], u[1], strict=True)
        ]
    )
    both = work * (1.0 + drawn(prior("electrode-absorption-ratio"), u[2]))
    return band(np.minimum(both, 1.0), "absorbed by workpiece and electrode, sparks of 1 µJ")


def removed_of_molten() -> Band:
    u = chances(2)
    energy = 22.0 * 10.0 * 200e-6
    removal = np.array([removal_per_energy_quantile(float(c), energy) for c in u[0]])
    share = np.array(
        [absorbed_share_quantile(float(a), float(k)) for a, k in zip(u[1], removal, strict=True)]
    )
    ceiling = prior("conduction-ceiling").median
    return band(removal / (share * ceiling), "removal per joule over what conduction can melt of it, 44 mJ")


def graphite_removal() -> Band:
    values, _ = removal_rate(amperes=35.0, on=0.65 / 9e3, off=0.35 / 9e3)
    return band(values, "35 A taken as the pulse current, 72 µs on, 39 µs off, every pulse fired")


def current_exponent() -> Band:
    rates = [np.median(removal_rate(amperes=a, on=72e-6, off=39e-6)[0]) for a in (2.0, 100.0)]
    slope = float(np.log(rates[1] / rates[0]) / np.log(50.0))
    how = "2 to 100 A at 72 µs; removal per joule does not depend on current, so no spread"
    return Band(low=slope, median=slope, high=slope, how=how, trend=slope > 0.0)


def power_density() -> Band:
    u = chances(2)
    energy, time = 1e-3, 1.5e-6  # of a 0.68 µF store at 70 V behind 300 nH
    width = crater_width(energy) * drawn(prior("crater-width-coefficient"), u[0])
    width /= prior("crater-width-coefficient").median
    share = drawn(prior("absorbed-share"), u[1])
    return band(share * energy / time / (pi / 4.0 * width**2), "a 1 mJ, 1.5 µs spark over its own crater")


def niti_removal() -> Band:
    values, _ = removal_rate(amperes=16.0, on=38e-6, off=5e-6)
    return band(values, "16 A, 38 µs on, 5 µs off, every pulse fired; NiTi taken to erode like steel")


def niti_wear_rate() -> Band:
    rate, chance = removal_rate(amperes=16.0, on=38e-6, off=5e-6)
    wear = drawn(copper_on_steel(), chance)
    return band(rate * wear, "that removal times the wear ratio of copper on steel, short pulses")


def copper_on_steel() -> Prior:
    return wear_ratio(material("copper"), material("tool-steel"))


def ratio(of: Prior) -> Band:
    return band(drawn(of, chances(1)[0]), of.title)


def niti_roughness() -> Band:
    u = chances(2)
    energy = drawn(prior("burning-voltage-oil"), u[0]) * 16.0 * 38e-6
    rough = (
        drawn(prior("roughness-coefficient"), u[1]) * (energy / 1e-6) ** prior("roughness-exponent").median
    )
    return band(rough, "roughness of sparks of 16 A and 38 µs")


def wear_spread() -> Band:
    spreads = [
        p.high / p.low for p in (copper_on_steel(), wear_ratio(material("tungsten"), material("tool-steel")))
    ]
    low, high = min(spreads), max(spreads)
    return Band(low=1.0, median=low, high=high, how="from none to high over low of the priors of wear")


def spark_gap_erosion() -> Band:
    u = chances(2)
    per_joule = drawn(prior("removal-per-energy-dry"), u[0])
    return band(
        per_joule * (10.0 + 10.0 * u[1]),
        "removal in air times a burning voltage of 10 to 20 V; kA are outside",
    )


def nitinol_removal() -> Band:
    rate, _ = removal_rate(amperes=12.0, on=2e-6, off=9e-6, burning="burning-voltage-water")
    return band(
        rate * NITI_DENSITY, "12 A, 2 µs on, 9 µs off, every pulse fired; eroding like steel, 6450 kg/m³"
    )


def nitinol_wear() -> Band:
    rate, chance = removal_rate(amperes=12.0, on=2e-6, off=9e-6, burning="burning-voltage-water")
    wear = drawn(wear_ratio(material("copper"), material("ti-6al-4v")), chance)
    return band(rate * wear * COPPER_DENSITY, "that removal times the general wear ratio, 8960 kg/m³")


def without_trend(how: str) -> Callable[[], Band]:
    """A published trend that our laws do not have."""
    return lambda: Band(low=float("nan"), median=float("nan"), high=float("nan"), how=how, trend=False)


BANDS: dict[str, Callable[[], Band]] = {
    "R1": absorbed_by_both,
    "R2": removed_of_molten,
    "R5": graphite_removal,
    "R6": current_exponent,
    "R7": without_trend("one wear ratio for each pair of materials, whatever the pulse"),
    "R11": power_density,
    "R12": niti_removal,
    "R13": niti_wear_rate,
    "R14": niti_roughness,
    "R20": without_trend("the wear ratio does not depend on the capacitance"),
    "R21": wear_spread,
    "R25": without_trend(
        "removal per joule does not depend on on-time, so that removal has no greatest on-time"
    ),
    "R29": spark_gap_erosion,
    "nitinol-removal": nitinol_removal,
    "nitinol-wear": nitinol_wear,
    "wear-ratio-niti": lambda: ratio(copper_on_steel()),
    "wear-ratio-coated": lambda: ratio(
        wear_ratio(material("tungsten-carbide-cobalt"), material("tool-steel"))
    ),
}
"""How each usable figure is met; the band of `R32` comes from whole forecasts."""

PUBLISHED_INSTEAD = {"R2": (0.0, 0.1)}
"""Published ends where the table holds a text."""

UNUSABLE = {
    "R3": "error of another model on its own craters, not a property of a drilling",
    "R4": "error of another model on its own craters, not a property of a drilling",
    "R8": "the plasma's density is not forecast",
    "R9": "the plasma's temperature is not forecast",
    "R10": "the plasma's temperature is not forecast",
    "R15": "the time between pulses is not printed, so neither is the power",
    "R16": "current, on-time and off-time of the compromise are not printed",
    "R17": "pulse energy and rate are not printed, and the figure itself is suspect",
    "R18": "a rate whose settings are not printed; its share of the removal is the row wear-ratio-coated",
    "R19": "pulse energy is not printed; overcut follows it",
    "R22": "the quality of edges is not forecast; the figure stands in the facts as a remark",
    "R23": "a range of energies that was studied, not a result",
    "R24": "a range of energies that was studied, not a result",
    "R26": "how much measuring helps a model is not forecast",
    "R27": "current and energy of the arcs are not printed",
    "R28": "duration and energy of the arcs are not printed; sizes are log-normal, as ours are",
    "R30": "spark energy and time are not printed; a depth reached is no measure by itself",
    "nitinol-taper": "diameter and thickness are not printed; taper follows them",
    "d2-removal-ranking": "the ranges over which the settings were moved are not printed",
    "d2-wear-ranking": "the ranges over which the settings were moved are not printed",
    "nozzle-holes": "a range of diameters that was drilled, not a result",
}
"""Why a published figure cannot be compared with a forecast."""
