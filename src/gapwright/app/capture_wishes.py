"""All that a user may say of a capture that its file does not say, and what meters showed meanwhile."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

Part = Literal["file", "hookup", "settings", "meters"]
Kind = Literal["quantity", "number", "whole", "choice", "switch", "text"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """One thing that may be said."""

    part: Part
    label: str
    kind: Kind
    help: str
    unit: str = ""
    words: tuple[str, ...] = ()
    """What it may be, or must be where it has no unit."""
    example: str = ""


WISHES: Mapping[str, Wish] = {
    "voltage_channel": Wish(
        part="hookup",
        label="gap voltage",
        kind="text",
        help="Channel of the gap voltage: its name in the file, or its number from 1.",
        example="1",
    ),
    "voltage_probe": Wish(
        part="hookup",
        label="voltage probe",
        kind="number",
        help="Ratio that the recorder has not multiplied already.",
        example="10",
    ),
    "voltage_inverted": Wish(
        part="hookup", label="voltage upside down", kind="switch", help="Recorded upside down."
    ),
    "voltage_zero": Wish(
        part="hookup",
        label="voltage at zero",
        kind="quantity",
        unit="V",
        help="What the channel shows at 0 V.",
        example="0.4 V",
    ),
    "current_channel": Wish(
        part="hookup",
        label="current",
        kind="text",
        help="Channel of the current: its name or number; none leaves it out.",
        example="2",
    ),
    "shunt": Wish(
        part="hookup",
        label="shunt",
        kind="quantity",
        unit="Ω",
        help="Resistance whose voltage was recorded as the current.",
        example="10 mohm",
    ),
    "clamp": Wish(
        part="hookup",
        label="current clamp",
        kind="quantity",
        unit="Ω",
        help="Volts for each ampere through a clamp.",
        example="0.1 V/A",
    ),
    "current_probe": Wish(
        part="hookup",
        label="probe on the shunt",
        kind="number",
        help="Its ratio, where the recorder has not multiplied already.",
        example="10",
    ),
    "current_inverted": Wish(
        part="hookup", label="current upside down", kind="switch", help="Recorded upside down."
    ),
    "current_zero": Wish(
        part="hookup",
        label="current at zero",
        kind="quantity",
        unit="A",
        words=("find", "follow"),
        help="What the channel shows at 0 A; find it between the sparks, or follow a drift.",
        example="find",
    ),
    "current_delay": Wish(
        part="hookup",
        label="current comes later by",
        kind="quantity",
        unit="s",
        words=("find",),
        help="How much later the current comes; or find it from the edges.",
        example="20 ns",
    ),
    "current_bandwidth": Wish(
        part="hookup",
        label="bandwidth of the current",
        kind="quantity",
        unit="Hz",
        help="Of shunt or clamp, where it is stated.",
        example="1 MHz",
    ),
    "generator": Wish(
        part="settings",
        label="generator",
        kind="choice",
        words=("capacitor", "pulse"),
        help="Found from the capture where it is not said.",
    ),
    "open_voltage": Wish(
        part="settings",
        label="open voltage",
        kind="quantity",
        unit="V",
        help="Given instead of found.",
        example="70 V",
    ),
    "burning_voltage": Wish(
        part="settings",
        label="burning voltage",
        kind="quantity",
        unit="V",
        help="Given instead of found.",
        example="22 V",
    ),
    "on_time": Wish(
        part="settings",
        label="on-time",
        kind="quantity",
        unit="s",
        help="For which a pulse generator offers voltage.",
        example="50 us",
    ),
    "capacitance": Wish(
        part="settings",
        label="capacitance of the store",
        kind="quantity",
        unit="F",
        help="From which charge and energy follow where no current was recorded.",
        example="1 uF",
    ),
    "rate": Wish(
        part="file",
        label="samples a second",
        kind="quantity",
        unit="Hz",
        help="Where the file has no times.",
        example="10 MHz",
    ),
    "separator": Wish(
        part="file",
        label="between columns",
        kind="choice",
        words=("comma", "semicolon", "tab", "bar", "space"),
        help="Of a file of text.",
    ),
    "decimal": Wish(
        part="file",
        label="decimal mark",
        kind="choice",
        words=("point", "comma"),
        help="Of a file of text.",
    ),
    "skip_lines": Wish(
        part="file",
        label="lines to skip",
        kind="whole",
        help="Lines of text before the first samples.",
        example="12",
    ),
    "missing": Wish(
        part="file",
        label="samples without a number",
        kind="choice",
        words=("refuse", "gaps"),
        help="Refuse the file, or take them as gaps in time.",
    ),
    "supply_voltage": Wish(
        part="meters",
        label="voltage of the supply",
        kind="quantity",
        unit="V",
        help="What a meter showed meanwhile.",
        example="24 V",
    ),
    "supply_current": Wish(
        part="meters",
        label="current of the supply",
        kind="quantity",
        unit="A",
        help="Mean out of the supply meanwhile.",
        example="0.9 A",
    ),
    "socket_power": Wish(
        part="meters",
        label="power from the socket",
        kind="quantity",
        unit="W",
        help="What a power meter showed meanwhile.",
        example="60 W",
    ),
}
"""All that may be said, in the order in which a form asks."""

FILE_KEYS, HOOKUP_KEYS, SETTING_KEYS, METER_KEYS = (
    tuple(key for key, wish in WISHES.items() if wish.part == part)
    for part in ("file", "hookup", "settings", "meters")
)
