"""One claim of a forecast with its band, in words fit for a card that is read from across a room."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from gapwright.app.forecast import Answer
from gapwright.app.wording import banded_text, counted
from gapwright.base.checks import close_names
from gapwright.base.errors import InputRefused
from gapwright.study.grounds.outcome import Banded, Forecast


@dataclass(frozen=True, slots=True, kw_only=True)
class Claim:
    """What a card says: the number in large type, its band, what it is of, and what stands behind it."""

    large: str
    band: str
    sentence: str
    behind: str
    value: Banded
    """The same in numbers, for the band that is drawn."""


def _claim(answer: Answer, value: Banded, unit: str, sentence: str) -> Claim:
    text = banded_text(value, unit, missing="never" if unit == "s" else "unknown")
    f = answer.forecast
    return Claim(
        large=text.middle,
        band=text.band or "the same in every member",
        sentence=sentence,
        behind=_behind(f),
        value=value,
    )


def _behind(forecast: Forecast) -> str:
    """What stands behind a number: how it was had, and how sure it is."""
    sure = "calibrated on this rig" if forecast.calibrated else "not yet calibrated on this rig"
    many = counted(forecast.members, "member", "members")
    return f"{forecast.rig}, {forecast.job}: forecast over {many}, {sure}"


CLAIMS: Mapping[str, Callable[[Answer], Claim]] = {
    "time": lambda a: _claim(a, a.forecast.time_s, "s", "for one hole"),
    "entry": lambda a: _claim(a, a.forecast.hole.entry_diameter_m, "mm", "wide where the electrode enters"),
    "exit": lambda a: _claim(a, a.forecast.hole.exit_diameter_m, "mm", "wide where the hole comes out"),
    "wear": lambda a: _claim(
        a, a.forecast.electrode.wear_length_m, "mm", "of electrode used up by each hole"
    ),
    "roughness": lambda a: _claim(a, a.forecast.finish.ra_m, "µm", "mean roughness Ra of the wall"),
    "energy": lambda a: _claim(
        a, a.forecast.specific_energy_j_per_m3, "J/mm³", "from the socket for each cubic millimetre"
    ),
}
"""Claims that a card can make, by name."""


def claim(answer: Answer, name: str) -> Claim:
    """A claim of a forecast.

    Raises
    ------
    InputRefused
        If there is no claim of that name.
    """
    if name not in CLAIMS:
        raise InputRefused(f"a card must be one of {', '.join(CLAIMS)}{close_names(name[:60], list(CLAIMS))}")
    return CLAIMS[name](answer)
