"""Which constants of a forecast are uncertain, and the members that carry them.

A member is one way the world may be: a value for every uncertain constant,
drawn evenly by a scrambled Sobol sequence. The median member has every
constant at its median.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import ceil, log2

from scipy.stats import qmc

from gapwright.base.errors import InputRefused
from gapwright.facts.materials import material
from gapwright.facts.priors import Prior, prior, wear_ratio
from gapwright.rig.job import Job
from gapwright.rig.priors import WEAR_RATIO, chosen_prior
from gapwright.rig.rig import Rig
from gapwright.rig.setup import is_dry

REMOVAL = "removal-chance"
"""Quantile of the law of removal at which a member lives; the law itself depends on the spark's energy."""

ALWAYS = (
    "polarity-factor",
    "crater-width-coefficient",
    "roughness-coefficient",
    "recast-coefficient",
    "overcut-per-side",
    "electrode-absorption-ratio",
    "hole-scatter",
)
IN_LIQUID = (
    "effective-share",
    "absorbed-share",
    "ignition-exponent",
    "ignition-time",
    "bridge-rate",
)
BY_CONTACT = (
    "removal-per-energy-dry",
    "dry-redeposition",
    "contact-field",
    "asperity-radius",
    "absorbed-share",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Member:
    """One draw of every uncertain constant; `number` -1 is the median member."""

    number: int
    chance: Mapping[str, float]
    value: Mapping[str, float]


def uncertain_constants(rig: Rig, job: Job) -> dict[str, Prior]:
    """Priors of the constants that spread in a forecast of this rig and job, the rig's own first.

    A constant that we hold fixed joins them where the rig file gives it a band.
    """
    names = [*ALWAYS]
    liquid = rig.setup.liquid
    if is_dry(liquid):
        names += BY_CONTACT
    else:
        names += [*IN_LIQUID, field_name(rig)]
        flushed = rig.setup.flushing.kind in ("side-jet", "through-tube")
        names += ["flushing-time"] if flushed else ["flushing-time-still", "unflushed-time-factor"]
    banded = [name for name, own in rig.priors.items() if own.low is not None and name != WEAR_RATIO]
    found = {name: chosen_prior(rig.priors, prior(name)) for name in dict.fromkeys((*names, *banded))}
    usual = wear_ratio(material(rig.setup.electrode.material), material(job.workpiece.material))
    found[WEAR_RATIO] = chosen_prior(rig.priors, usual, name=WEAR_RATIO)
    return found


def field_name(rig: Rig) -> str:
    """Name of the prior of the field at which this rig's liquid ignites."""
    return "effective-field-water" if "water" in rig.setup.liquid.name else "effective-field-oil"


def is_calibrated(rig: Rig) -> bool:
    """Whether measurements or runs of this rig stand behind any of its constants."""
    return any(own.status != "from memory" for own in rig.priors.values())


def median_member(constants: Mapping[str, Prior]) -> Member:
    """Member with every constant at its median."""
    chance = dict.fromkeys((*constants, REMOVAL), 0.5)
    return Member(number=-1, chance=chance, value={name: p.quantile(0.5) for name, p in constants.items()})


def members(
    constants: Mapping[str, Prior], *, count: int, seed: int, beside: Iterable[str] = ()
) -> list[Member]:
    """`count` members, spread evenly by a scrambled Sobol sequence of this seed.

    Two sets of constants that name each other's in `beside` meet the same luck:
    a constant that both have is drawn at the same chance, member by member.

    Raises
    ------
    InputRefused
        If `count` is below 1.
    """
    if count < 1:
        raise InputRefused(f"members must be at least 1, got {count}; 64 is a good number")
    names = sorted({*constants, REMOVAL, *beside})
    points = qmc.Sobol(len(names), scramble=True, rng=seed).random_base2(max(0, ceil(log2(count))))
    drawn = []
    for number, point in enumerate(points[:count]):
        chance = {name: float(min(max(u, 1e-6), 1.0 - 1e-6)) for name, u in zip(names, point, strict=True)}
        value = {name: p.quantile(chance[name]) for name, p in constants.items()}
        drawn.append(Member(number=number, chance=chance, value=value))
    return drawn
