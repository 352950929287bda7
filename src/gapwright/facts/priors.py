"""Defaults with their spread: what is assumed until a rig has been measured."""

from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from math import exp, log
from statistics import NormalDist

from gapwright.base.checks import require_between
from gapwright.base.errors import FactMissing
from gapwright.base.source import Status
from gapwright.facts._reading import Record, data, missing
from gapwright.facts.materials import Material

_NORMAL = NormalDist()
_Z95 = _NORMAL.inv_cdf(0.95)


class Distribution(StrEnum):
    """How a prior spreads."""

    LOG_NORMAL = "log-normal"
    UNIFORM = "uniform"
    FIXED = "fixed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Prior:
    """One default: median, 5th and 95th percentile (ends if uniform), and how it spreads.

    A fixed prior is used as it stands; its `low` and `high`, where stated, only
    say how far it may be off. `floor` and `ceiling` cut the distribution.
    """

    key: str
    title: str
    median: float
    low: float
    high: float
    distribution: Distribution
    unit: str
    source: str
    status: Status
    floor: float | None = None
    ceiling: float | None = None
    note: str = ""

    def quantile(self, probability: float) -> float:
        """Value below which the prior lies with this probability.

        A log-normal prior has its own spread on either side of the median, so
        that median, 5th and 95th percentile are those of the table; a floor or
        ceiling shares the cut-off probability out over what remains, which
        moves the percentiles.

        Raises
        ------
        InputRefused
            If `probability` is outside 0 to 1.

        Examples
        --------
        >>> scale = prior("axis-backlash")
        >>> f"{scale.quantile(0.95) * 1e6:.0f} µm"
        '100 µm'
        """
        require_between("probability", probability, 0.0, 1.0, "")
        if self.distribution is Distribution.FIXED:
            return self.median
        if self.distribution is Distribution.UNIFORM:
            return (1.0 - probability) * self.low + probability * self.high
        return self._log_normal_quantile(probability)

    def _spread(self, side_value: float) -> float:
        """Standard deviation of the logarithm on the side of `side_value`."""
        return abs(log(side_value / self.median)) / _Z95

    def _probability_below(self, value: float) -> float:
        """Probability, without any cut, that the prior lies below `value`."""
        side = self.low if value < self.median else self.high
        return _NORMAL.cdf(log(value / self.median) / self._spread(side))

    def _log_normal_quantile(self, probability: float) -> float:
        """Quantile of the log-normal form, within its cuts."""
        bottom = 0.0 if self.floor is None else self._probability_below(self.floor)
        top = 1.0 if self.ceiling is None else self._probability_below(self.ceiling)
        p = bottom + probability * (top - bottom)
        if p <= 0.0:
            return 0.0
        if p >= 1.0:
            return float("inf")
        z = _NORMAL.inv_cdf(p)
        side = self.low if z < 0.0 else self.high
        return self.median * exp(z * self._spread(side))


def _prior_from(key: str, title: str, record: Record) -> Prior:
    """Record of a data file as a prior."""
    median = float(record["median"])
    return Prior(
        key=key,
        title=title,
        median=median,
        low=float(record.get("low", median)),
        high=float(record.get("high", median)),
        distribution=Distribution(record["distribution"]),
        unit=record["unit"],
        source=record["source"],
        status=Status(record["status"]),
        floor=record.get("floor"),
        ceiling=record.get("ceiling"),
        note=record.get("note", ""),
    )


def priors() -> tuple[str, ...]:
    """Keys of all priors but the wear ratios."""
    return tuple(data("priors"))


@cache
def prior(key: str) -> Prior:
    """Prior with this key.

    Raises
    ------
    FactMissing
        If the table holds no such prior; close names are listed.

    Examples
    --------
    >>> prior("removal-per-energy").median
    4e-12
    """
    table = data("priors")
    if key not in table:
        raise missing("the prior", key, table, table="priors")
    return _prior_from(key, table[key]["title"], table[key])


def wear_ratio(electrode: Material, workpiece: Material) -> Prior:
    """Volume of electrode lost over volume of workpiece removed, for short pulses from a capacitor.

    A pair without a figure of its own gets the general one, and its title says so.

    Raises
    ------
    FactMissing
        If either material does not conduct, so that there is nothing to wear.

    Examples
    --------
    >>> from gapwright.facts.materials import material
    >>> wear_ratio(material("brass"), material("tool-steel")).title
    'volume wear ratio, brass on steel'
    """
    for side in (electrode, workpiece):
        if not side.conductive:
            raise FactMissing(f"a wear ratio needs two conductive materials, got {side.key}")
    table = data("wear")
    tool, work = electrode.wear_class, workpiece.wear_class
    record = table.get(tool, {}).get(work)
    if record is None:
        title = f"volume wear ratio, {tool} on {work}: no figure for this pair, general one"
        return _prior_from("wear-ratio-general", title, table["general"]["any"])
    title = f"volume wear ratio, {tool} on {work}"
    return _prior_from(f"wear-ratio-{tool}-{work}".replace(" ", "-"), title, record)


def long_pulse_wear_ratio() -> Prior:
    """Volume wear ratio of copper on steel with long pulses, electrode positive, in hydrocarbon only."""
    record = data("wear")["long-pulse-copper"]["steel"]
    return _prior_from("wear-ratio-long-pulse", "volume wear ratio, copper on steel, long pulses", record)


@cache
def wear_ratios() -> tuple[Prior, ...]:
    """All wear ratios of the table, by pair; the general one first."""
    return tuple(
        _prior_from(f"{tool} / {work}", f"volume wear ratio, {tool} on {work}", record)
        for tool, pairs in data("wear").items()
        for work, record in pairs.items()
    )
