"""What a user says about a file of samples that the file itself does not say, or says wrongly."""

from dataclasses import dataclass
from typing import Literal

from gapwright.base.checks import require_between, require_finite, require_not_negative, require_positive
from gapwright.base.errors import InputRefused
from gapwright.base.units import Hertz, Number, Seconds

SEPARATORS = {"comma": ",", "semicolon": ";", "tab": "\t", "bar": "|", "space": " "}
"""Separators by name, for options and side-cars."""

MOST_SKIPPED = 100_000


@dataclass(frozen=True, slots=True, kw_only=True)
class ChannelWish:
    """One channel as the user describes it: a value in `unit` is ``scale * code + offset``."""

    name: str = ""
    unit: str = ""
    scale: Number = 1.0
    offset: Number = 0.0
    rails: tuple[float, float] | None = None
    """Codes at which the converter stops."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FileWish:
    """How a file is to be read; whatever is None is found out from the file."""

    separator: Literal["comma", "semicolon", "tab", "bar", "space"] | None = None
    decimal: Literal["point", "comma"] | None = None
    skip_lines: int | None = None
    """Lines of text before the first line of samples."""
    rate: Hertz | None = None
    start: Seconds | None = None
    missing: Literal["refuse", "gaps"] = "refuse"
    """What a sample without a number does: the file is refused, or there is a gap in time."""
    channels: tuple[ChannelWish, ...] | None = None
    type: Literal["int8", "int16", "float32"] | None = None
    """Type of the samples of a raw file."""
    byte_order: Literal["little", "big"] = "little"
    skip_bytes: int = 0
    interleaved: bool = True
    """Whether the channels of a raw file take turns sample by sample, or stand one after another."""

    def __post_init__(self) -> None:
        """Refuse numbers that mean nothing."""
        if self.rate is not None:
            require_positive("the sample rate", self.rate, "Hz")
        if self.start is not None:
            require_finite("the time of the first sample", self.start, "s")
        if self.skip_lines is not None:
            require_between("lines to skip", self.skip_lines, 0, MOST_SKIPPED, "")
        require_not_negative("bytes to skip", self.skip_bytes, "")
        if self.separator == "comma" and self.decimal == "comma":
            raise InputRefused("a comma cannot part both columns and decimals; give another --separator")
