"""Names in a file that must stand in our tables: materials that conduct, and what fills the gap."""

from typing import Annotated

from pydantic import AfterValidator, StringConstraints

from gapwright.base.errors import FactMissing
from gapwright.base.field import refused
from gapwright.facts.liquids import liquid
from gapwright.facts.materials import material


def _conductor(key: str) -> str:
    try:
        found = material(key)
    except FactMissing as fault:
        raise refused(str(fault).removeprefix("the material ")) from None
    if not found.conductive:
        raise refused(
            f'must conduct electricity, got "{key}" ({found.title}), which does not: '
            "a spark needs a conductor on both sides; `gapwright facts materials` lists them"
        )
    return key


def _filling(key: str) -> str:
    try:
        liquid(key)
    except FactMissing as fault:
        raise refused(str(fault).removeprefix("the liquid ")) from None
    return key


Key = Annotated[str, StringConstraints(min_length=1, max_length=60)]

ConductorKey = Annotated[Key, AfterValidator(_conductor)]
"""Key of a material that conducts."""

LiquidKey = Annotated[Key, AfterValidator(_filling)]
"""Key of a liquid, or ``air``."""
