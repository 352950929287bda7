"""What a form says of each thing that a user may say of a capture, or of meters read meanwhile."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

Kind = Literal["quantity", "number", "whole", "choice", "switch", "text"]
Part = Literal["hookup", "settings", "file", "meters"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """One thing that may be said."""

    label: str
    kind: Kind
    help: str
    example: str = ""


def _asked(kind: Kind, label: str, help_text: str, example: str = "") -> Question:
    return Question(label=label, kind=kind, help=help_text, example=example)


def _unsure(what: str, usual: str) -> Question:
    return _asked(
        "number",
        f"unsure: {what}",
        f"Its standard uncertainty, as a share. Usual, from memory: {usual}.",
        usual,
    )


UPSIDE_DOWN = "Recorded upside down."
GIVEN = "Given instead of found."
DRIFT = "Found where it is not said; 0 takes none out."
TEXT = "Of a file of text."
METER = "What a meter showed meanwhile."

HOOKUP: Mapping[str, Question] = {
    "voltage_channel": _asked(
        "text", "gap voltage", "Its channel: the name in the file, or the number from 1.", "1"
    ),
    "voltage_probe": _asked(
        "number", "voltage probe", "Ratio that the recorder has not multiplied already.", "10"
    ),
    "voltage_inverted": _asked("switch", "voltage upside down", UPSIDE_DOWN),
    "voltage_zero": _asked(
        "quantity",
        "voltage at zero",
        "What the channel shows at 0 V as the capture begins; or find it between pulses.",
        "0.4 V",
    ),
    "voltage_drift": _asked("quantity", "voltage's zero drifts by", DRIFT, "0.2 V/s"),
    "current_channel": _asked(
        "text", "current", "Its channel: name or number; none leaves the current out.", "2"
    ),
    "shunt": _asked("quantity", "shunt", "Resistance whose voltage was recorded as the current.", "10 mohm"),
    "clamp": _asked("quantity", "current clamp", "Volts for each ampere through a clamp.", "0.1 V/A"),
    "current_probe": _asked("number", "probe on the shunt", "Ratio, if not multiplied already.", "10"),
    "current_inverted": _asked("switch", "current upside down", UPSIDE_DOWN),
    "current_zero": _asked(
        "quantity",
        "current at zero",
        "What the channel shows at 0 A as the capture begins; found between the sparks otherwise.",
        "0.2 A",
    ),
    "current_drift": _asked("quantity", "current's zero drifts by", DRIFT, "10 mA/s"),
    "current_delay": _asked(
        "quantity", "current comes later by", "So much later; or find it from the edges.", "20 ns"
    ),
    "current_bandwidth": _asked(
        "quantity", "bandwidth of the current", "Of shunt or clamp, where it is stated.", "1 MHz"
    ),
}
SETTINGS: Mapping[str, Question] = {
    "generator": _asked("choice", "generator", "Found from the capture where it is not said."),
    "open_voltage": _asked("quantity", "open voltage", GIVEN, "70 V"),
    "burning_voltage": _asked("quantity", "burning voltage", GIVEN, "22 V"),
    "voltage_noise": _asked("quantity", "noise of the voltage", GIVEN, "0.8 V"),
    "current_noise": _asked("quantity", "noise of the current", GIVEN, "0.2 A"),
    "time_constant": _asked("quantity", "time constant of charging", GIVEN, "120 us"),
    "on_time": _asked("quantity", "on-time", "For which a pulse generator offers voltage.", "50 us"),
    "capacitance": _asked(
        "quantity",
        "capacitance of the store",
        "From which charge and energy follow where no current was recorded.",
        "1 uF",
    ),
    "dry": _asked("switch", "dry rig", "Sparks in air at low voltage, where most begin with a touch."),
}
FILE: Mapping[str, Question] = {
    "rate": _asked("quantity", "samples a second", "Where the file has no times.", "10 MHz"),
    "separator": _asked("choice", "between columns", TEXT),
    "decimal": _asked("choice", "decimal mark", TEXT),
    "skip_lines": _asked("whole", "lines to skip", "Lines of text before the first samples.", "12"),
    "missing": _asked("choice", "samples without a number", "Refuse the file, or take them as gaps in time."),
}
METERS: Mapping[str, Question] = {
    "supply_voltage": _asked("quantity", "voltage of the supply", METER, "24 V"),
    "supply_current": _asked("quantity", "current of the supply", "Its mean meanwhile.", "0.9 A"),
    "socket_power": _asked("quantity", "power from the socket", METER, "60 W"),
    "auxiliary_power": _asked(
        "quantity", "power of what runs beside", "Of spindle, pump and controller together.", "35 W"
    ),
}
SURENESS: Mapping[str, Question] = {
    "supply_voltage_uncertainty": _unsure("supply's voltage", "0.5 %"),
    "supply_current_uncertainty": _unsure("supply's current", "1 %"),
    "socket_power_uncertainty": _unsure("powers from the socket", "2 %"),
    "voltage_gain_uncertainty": _unsure("gap voltage, probe included", "2 %"),
    "current_gain_uncertainty": _unsure("gap current, shunt or clamp included", "3 %"),
    "capacitance_uncertainty": _unsure("store's capacitance", "5 %"),
}
"""Standard uncertainty of each instrument, as a share, by the fields of `MeterReadings`."""
PARTS: Mapping[Part, Mapping[str, Question]] = {
    "hookup": HOOKUP,
    "settings": SETTINGS,
    "file": FILE,
    "meters": {**METERS, **SURENESS},
}
"""All that may be said, by what it is about, in the order in which a form asks."""
