"""What a user says about a capture, word by word, as a request: the same for options and for a form."""

from collections.abc import Callable
from typing import Any

from gapwright.app.captures import CaptureRequest
from gapwright.base.checks import close_names
from gapwright.base.errors import InputRefused
from gapwright.base.quantity import quantity

FILE_KEYS = ("separator", "decimal", "skip_lines", "rate", "missing")
HOOKUP_KEYS = (
    "voltage_channel", "voltage_probe", "voltage_inverted", "voltage_zero", "voltage_drift",
    "current_channel", "current_probe", "shunt", "clamp", "current_inverted", "current_zero",
    "current_drift", "current_delay", "current_bandwidth",
)  # fmt: skip
SETTING_KEYS = (
    "generator", "open_voltage", "burning_voltage", "voltage_noise", "current_noise", "time_constant",
    "on_time", "capacitance", "dry",
)  # fmt: skip
UNITS = {
    "rate": "Hz", "voltage_zero": "V", "voltage_drift": "V/s", "shunt": "Ω", "clamp": "Ω",
    "current_zero": "A", "current_drift": "A/s", "current_delay": "s", "current_bandwidth": "Hz",
    "open_voltage": "V", "burning_voltage": "V", "voltage_noise": "V", "current_noise": "A",
    "time_constant": "s", "on_time": "s", "capacitance": "F", "supply_voltage": "V",
    "supply_current": "A", "socket_power": "W", "auxiliary_power": "W",
}  # fmt: skip
"""SI unit of each quantity that is given as text."""
WORDS = {
    "voltage_zero": ("find",),
    "voltage_drift": ("find",),
    "current_zero": ("find",),
    "current_drift": ("find",),
    "current_delay": ("find",),
    "separator": ("comma", "semicolon", "tab", "bar", "space"),
    "decimal": ("point", "comma"),
    "missing": ("refuse", "gaps"),
    "generator": ("capacitor", "pulse"),
    "kind": ("svg", "png"),
}
"""What may be said as one of these words, or must be."""


def said_value(key: str, given: Any, name: str) -> Any:
    """Value of what was said under `name`: a quantity as an SI number, a word as it is.

    Raises
    ------
    InputRefused
        If it is neither a quantity of the right unit nor one of the words.
    """
    words = WORDS.get(key, ())
    if not isinstance(given, str) or given in words:
        return given
    if key in UNITS:
        return quantity(given, UNITS[key], name=name)
    if words:
        raise InputRefused(
            f"{name} must be one of {', '.join(words)}, got {given!r}{close_names(given, words)}"
        )
    return given


def request_of(
    places: tuple[str, ...],
    rig: str | None,
    said: dict[str, Any],
    *,
    name_of: Callable[[str], str] = str,
) -> CaptureRequest:
    """Request for the files at `places`; what was not said is None or False.

    Parameters
    ----------
    places
        Files of one run, or a kept folder.
    rig
        The rig that was recorded.
    said
        Values as said, by the keys above.
    name_of
        What a refusal calls a key.

    Raises
    ------
    InputRefused
        If a value is not what its key takes.
    """
    values = {
        key: said_value(key, value, name_of(key))
        for key, value in said.items()
        if value is not None and value is not False
    }

    def part(keys: tuple[str, ...]) -> dict[str, Any]:
        return {key: values[key] for key in keys if key in values}

    return CaptureRequest(
        places=places,
        rig=rig,
        file_options=part(FILE_KEYS),
        hookup=part(HOOKUP_KEYS),
        settings=part(SETTING_KEYS),
    )
