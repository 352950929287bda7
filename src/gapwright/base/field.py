"""A number in a user's file: its unit, limits and help, written once for checks, schemas and forms.

::

    inductance: Annotated[float, Quantity("H", above=0, at_most=1, example="47 uH", help="...")]

Text is read as a quantity and becomes an SI float. A float given from Python
is taken to be in SI units; a bare number in a file is refused.
"""

import math
from dataclasses import dataclass
from typing import Any

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler, ValidationInfo
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from gapwright.base.quantity import Unread, printed_quantity, read_quantity, shown
from gapwright.base.source import Status

FROM_FILE = {"file": True}
"""Validation context of values that stand in a file, where a bare number has no unit."""


def refused(message: str, *, key: str = "") -> PydanticCustomError:
    """Refusal from inside a record's validation; path and `key` are put before it later."""
    return PydanticCustomError("refused", "{message}", {"message": message, "key": key})


def shown_value(value: object) -> str:
    """What was got, on one line and cut short."""
    if isinstance(value, str):
        return shown(value)
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list):
        return "a list"
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, int) and abs(value) >= 10**18:
        return "a whole number of more than 18 digits"
    return str(value)


@dataclass(frozen=True, slots=True)
class Quantity:
    """Unit, limits, example and help of a number in a file; `status` is that of its default."""

    unit: str
    above: float | None = None
    at_least: float | None = None
    at_most: float | None = None
    below: float | None = None
    example: str = ""
    help: str = ""
    status: Status | None = None

    def __get_pydantic_core_schema__(self, source: type[Any], _handler: GetCoreSchemaHandler) -> CoreSchema:
        """Validate text or number to an SI float."""
        return core_schema.with_info_plain_validator_function(
            self.value, serialization=core_schema.plain_serializer_function_ser_schema(float)
        )

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, _handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        """Describe the field: a quantity is a string, a pure number may be a number."""
        described: dict[str, Any] = {
            "type": "string" if self.unit else ["number", "string"],
            "description": self.help,
            "x-unit": self.unit,
        }
        limits = {
            "x-exclusiveMinimum": self.above,
            "x-minimum": self.at_least,
            "x-maximum": self.at_most,
            "x-exclusiveMaximum": self.below,
        }
        described |= {key: limit for key, limit in limits.items() if limit is not None}
        if self.example:
            described["examples"] = [self.example]
        if self.status:
            described["x-status"] = self.status.value
        return described

    def value(self, given: object, info: ValidationInfo) -> float:
        """SI float of what was given.

        Raises
        ------
        PydanticCustomError
            If it is not such a quantity or outside the limits.
        """
        if isinstance(given, str):
            try:
                number = read_quantity(given, self.unit)
            except Unread as fault:
                raise refused(f"{fault}") from None
        else:
            number = self._bare(given, in_file=bool(info.context))
        self._check_limits(number, given)
        return number

    def _bare(self, given: object, *, in_file: bool) -> float:
        if isinstance(given, bool) or not isinstance(given, int | float):
            raise refused(f"must be a quantity{self._such_as()}, got {shown_value(given)}")
        number = float(given) if abs(given) < 10**300 else math.inf
        if not math.isfinite(number):
            raise refused(f"must be a finite number, got {shown_value(given)}{self._advice()}")
        if in_file and self.unit:
            such = (
                f" or, say, {shown(self.example)}"
                if self.example and not self.example.startswith(f"{given} ")
                else ""
            )
            raise refused(
                f"= {shown_value(given)} has no unit; it would mean {given} {self.unit}; "
                f"write {shown(f'{given} {self.unit}')}{such}"
            )
        return number

    def _check_limits(self, number: float, given: object) -> None:
        rules = [
            (self.above is None or number > self.above, "above", self.above),
            (self.at_least is None or number >= self.at_least, "at least", self.at_least),
            (self.at_most is None or number <= self.at_most, "at most", self.at_most),
            (self.below is None or number < self.below, "below", self.below),
        ]
        for holds, rule, limit in rules:
            if not holds and limit is not None:
                bound = printed_quantity(limit, self.unit)
                raise refused(f"must be {rule} {bound}, got {shown_value(given)}{self._advice()}")

    def _such_as(self) -> str:
        return f" such as {shown(self.example)}" if self.example else ""

    def _advice(self) -> str:
        return f"; give a value{self._such_as()}" if self.example else ""
