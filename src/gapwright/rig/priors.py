"""The user's own values of the uncertain constants, in place of ours."""

from typing import Annotated, Any, Self

from pydantic import BeforeValidator, Field, model_validator

from gapwright.base.field import refused, shown_value
from gapwright.base.quantity import Reading, Unread, any_quantity
from gapwright.base.symbols import ONE
from gapwright.rig.record import FileRecord


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


class Prior(FileRecord):
    """Median and band of one constant; `low` and `high` are its 5th and 95th percentile."""

    median: AnyQuantity
    low: AnyQuantity
    high: AnyQuantity

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if not self.low.dimension == self.median.dimension == self.high.dimension:
            raise refused("must have the same kind of unit in low, median and high", key="median")
        if not self.low.value <= self.median.value <= self.high.value:
            raise refused("must lie between low and high", key="median")
        return self
