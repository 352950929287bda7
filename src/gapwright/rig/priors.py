"""The user's own values of uncertain constants, in place of those of our tables."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Annotated, Any, Literal, Self

from pydantic import BeforeValidator, Field, model_validator

from gapwright.base.checks import close_names
from gapwright.base.field import refused, shown_value
from gapwright.base.quantity import Reading, Unread, any_quantity, printed_quantity, shown
from gapwright.base.source import Status
from gapwright.base.symbols import ONE, unit_scale
from gapwright.facts.priors import Distribution, Prior, prior, priors
from gapwright.rig.record import FileRecord

WEAR_RATIO = "wear-ratio"
"""Name of the constant that stands for the wear ratio of this rig's electrode on this job's workpiece."""


def _any_reading(given: object) -> object:
    if isinstance(given, Reading):
        return given
    if isinstance(given, int | float) and not isinstance(given, bool):
        if abs(given) < 1e300:
            return Reading(value=float(given), dimension=ONE.dimension)
        raise refused(f"must be a finite number, got {shown_value(given)}")
    if not isinstance(given, str):
        raise refused(f'must be a number or a quantity such as "25 V", got {shown_value(given)}')
    try:
        return any_quantity(given)
    except Unread as fault:
        raise refused(f"{fault}") from None


def _reading_schema(schema: dict[str, Any]) -> None:
    schema.clear()
    schema.update(
        {"type": ["number", "string"], "description": "A quantity with its unit, or a pure number."}
    )


AnyQuantity = Annotated[Reading, BeforeValidator(_any_reading), Field(json_schema_extra=_reading_schema)]


class OwnPrior(FileRecord):
    """Median of one constant, and its band (5th and 95th percentile) where it is not certain."""

    median: AnyQuantity
    low: AnyQuantity | None = None
    high: AnyQuantity | None = None
    status: Literal["measured", "calibrated", "from memory"] = Field(
        default="from memory", description="How sure the value is."
    )

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if self.low is None and self.high is None:
            return self
        if self.low is None or self.high is None:
            raise refused("must be given together with low, or neither of them", key="high")
        if not self.low.dimension == self.median.dimension == self.high.dimension:
            raise refused("must have a unit of the same kind as low and high", key="median")
        if not self.low.value < self.median.value < self.high.value:
            raise refused("must lie between low and high", key="median")
        return self


def check_own_priors(own: Mapping[str, OwnPrior]) -> None:
    """Refuse a constant that the tables do not know, a wrong unit, or a value outside its bounds.

    Raises
    ------
    PydanticCustomError
        If one of them cannot stand in place of the constant of that name.
    """
    for name, given in own.items():
        key = f"priors.{name}" if name.replace("-", "_").isidentifier() else f"priors.{shown(name)}"
        if name not in {*priors(), WEAR_RATIO}:
            near = close_names(name[:60], [*priors(), WEAR_RATIO])
            advice = near or "; `gapwright facts priors` lists them"
            raise refused(f"is not a constant of the tables{advice}", key=key)
        _check_against(None if name == WEAR_RATIO else prior(name), given, key)


def _check_against(default: Prior | None, given: OwnPrior, key: str) -> None:
    unit = default.unit if default else ""
    scale = unit_scale(unit)
    if scale is None or given.median.dimension != scale.dimension:
        raise refused(f"must be in {unit or 'no unit (a pure number)'}", key=f"{key}.median")
    lowest = (given.low or given.median).value
    floor = (default.floor if default else None) or 0.0
    if lowest <= floor:
        text = f"must be above {printed_quantity(floor, unit)}, got {printed_quantity(lowest, unit)}"
        raise refused(text, key=key)
    ceiling = default.ceiling if default else None
    if ceiling is not None and given.median.value > ceiling:
        raise refused(f"must be at most {printed_quantity(ceiling, unit)}", key=f"{key}.median")


def chosen_prior(own: Mapping[str, OwnPrior], default: Prior, *, name: str = "") -> Prior:
    """The user's own value of a constant if there is one, else the default.

    `name` is the key in the file where it differs from that of the default,
    as for the wear ratio.
    """
    given = own.get(name or default.key)
    if given is None:
        return default
    low, high = given.low or given.median, given.high or given.median
    spread = default.distribution
    if given.low is None:
        spread = Distribution.FIXED
    elif spread is Distribution.FIXED:
        spread = Distribution.LOG_NORMAL
    return replace(
        default,
        median=given.median.value,
        low=low.value,
        high=high.value,
        distribution=spread,
        source="the rig file",
        status=Status(given.status),
    )
