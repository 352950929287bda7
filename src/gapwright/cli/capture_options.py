"""Options of the commands below `capture`, described once, and what they ask for."""

import inspect
from collections.abc import Callable
from typing import TYPE_CHECKING, Annotated, Any

import typer

if TYPE_CHECKING:
    from gapwright.app.captures import CaptureRequest

Files = Annotated[
    list[str],
    typer.Argument(metavar="FILE...", help="Files of one run, in the order of time; or a kept folder."),
]
Rig = Annotated[
    str | None,
    typer.Option("--rig", metavar="RIG", help="Rig that was recorded: gives store, loop and liquid."),
]
Generator = Annotated[
    str | None,
    typer.Option("--generator", metavar="KIND", help="capacitor or pulse; found from the capture otherwise."),
]
Separator = Annotated[
    str | None,
    typer.Option(
        "--separator", metavar="NAME", help="Between columns of text: comma, semicolon, tab, bar, space."
    ),
]
Decimal = Annotated[
    str | None, typer.Option("--decimal", metavar="NAME", help="Decimal mark of text: point or comma.")
]
SkipLines = Annotated[
    int | None, typer.Option("--skip-lines", metavar="N", help="Lines of text before the first samples.")
]
Rate = Annotated[
    str | None, typer.Option("--rate", metavar="FREQUENCY", help='Samples a second, as in "10 MHz".')
]
Missing = Annotated[
    str | None,
    typer.Option("--missing", metavar="WAY", help="Samples without a number: refuse, or gaps in time."),
]
VoltageChannel = Annotated[
    str | None,
    typer.Option("--voltage-channel", metavar="NAME", help="Channel of the gap voltage, or its number."),
]
VoltageProbe = Annotated[
    float | None,
    typer.Option(
        "--voltage-probe", metavar="RATIO", help="Ratio that the recorder has not multiplied already."
    ),
]
VoltageInverted = Annotated[
    bool, typer.Option("--voltage-inverted", help="The gap voltage was recorded upside down.")
]
VoltageZero = Annotated[
    str | None,
    typer.Option(
        "--voltage-zero",
        metavar="VOLTAGE",
        help="What the channel shows at 0 V as the capture begins; or find it between pulses.",
    ),
]
VoltageDrift = Annotated[
    str | None,
    typer.Option(
        "--voltage-drift",
        metavar="RATE",
        help='How the zero of the voltage moves, as in "0.2 V/s"; found from the sparks otherwise.',
    ),
]
CurrentChannel = Annotated[
    str | None,
    typer.Option("--current-channel", metavar="NAME", help="Channel of the current, or its number; or none."),
]
CurrentProbe = Annotated[
    float | None,
    typer.Option(
        "--current-probe", metavar="RATIO", help="Ratio of the probe on the shunt, if not multiplied."
    ),
]
Shunt = Annotated[
    str | None, typer.Option("--shunt", metavar="RESISTANCE", help='Shunt of the current, as in "10 mohm".')
]
Clamp = Annotated[
    str | None, typer.Option("--clamp", metavar="RATIO", help='Current clamp, as in "0.1 V/A".')
]
CurrentInverted = Annotated[
    bool, typer.Option("--current-inverted", help="The current was recorded upside down.")
]
CurrentZero = Annotated[
    str | None,
    typer.Option(
        "--current-zero",
        metavar="CURRENT",
        help="What the channel shows at 0 A as the capture begins; found between the sparks otherwise.",
    ),
]
CurrentDrift = Annotated[
    str | None,
    typer.Option(
        "--current-drift",
        metavar="RATE",
        help='How the zero of the current moves, as in "10 mA/s"; found between the sparks otherwise.',
    ),
]
CurrentDelay = Annotated[
    str | None,
    typer.Option(
        "--current-delay", metavar="TIME", help="How much later the current comes; or find it from the edges."
    ),
]
CurrentBandwidth = Annotated[
    str | None, typer.Option("--current-bandwidth", metavar="FREQUENCY", help="Of the shunt or clamp.")
]
OpenVoltage = Annotated[
    str | None, typer.Option("--open-voltage", metavar="VOLTAGE", help="Given instead of found.")
]
BurningVoltage = Annotated[
    str | None, typer.Option("--burning-voltage", metavar="VOLTAGE", help="Given instead of found.")
]
OnTime = Annotated[
    str | None, typer.Option("--on-time", metavar="TIME", help="For which a pulse generator offers voltage.")
]
VoltageNoise = Annotated[
    str | None,
    typer.Option("--voltage-noise", metavar="VOLTAGE", help="Given instead of found, root mean square."),
]
CurrentNoise = Annotated[
    str | None,
    typer.Option("--current-noise", metavar="CURRENT", help="Given instead of found, root mean square."),
]
TimeConstant = Annotated[
    str | None,
    typer.Option("--time-constant", metavar="TIME", help="In which the store charges; given, not found."),
]
Dry = Annotated[
    bool, typer.Option("--dry", help="The rig sparks in air at low voltage, where sparks begin with a touch.")
]
Capacitance = Annotated[
    str | None,
    typer.Option(
        "--capacitance", metavar="CAPACITANCE", help="Of the store, for a capture without a current."
    ),
]
Each = Annotated[
    bool, typer.Option("--each", help="Read each file by itself, as a capture of its own, one line for each.")
]
Keep = Annotated[
    str | None,
    typer.Option("--keep", metavar="FOLDER", help="Also keep the capture, mapped and quick to open."),
]
Sparks = Annotated[
    str | None,
    typer.Option("--sparks", metavar="FILE", help="Also write every spark into this .csv or .parquet table."),
]
Kind = Annotated[str, typer.Option("--kind", metavar="KIND", help="svg or png.")]
Figures = Annotated[
    str, typer.Option("--figures", metavar="FOLDER", help="Folder for the figures; made if needed.")
]
Figure = Annotated[
    str | None, typer.Option("--figure", metavar="FILE.svg", help="Also draw the ways through earth.")
]


def option_name(key: str) -> str:
    """Name of the option of a key."""
    return "--" + key.replace("_", "-")


def option_value(key: str, given: Any) -> Any:
    """Value of an option: a quantity as an SI number, a word as it is."""
    from gapwright.app.capture_said import said_value

    return said_value(key, given, option_name(key))


def request_of(files: list[str], rig: str | None, options: dict[str, Any]) -> "CaptureRequest":
    """What the user asks, from the options of a command."""
    from gapwright.app import capture_said

    return capture_said.request_of(tuple(files), rig, options, name_of=option_name)


RECORDER_OPTIONS: dict[str, tuple[Any, Any]] = {
    "generator": (Generator, None),
    "voltage_channel": (VoltageChannel, None),
    "voltage_probe": (VoltageProbe, None),
    "voltage_inverted": (VoltageInverted, False),
    "voltage_zero": (VoltageZero, None),
    "voltage_drift": (VoltageDrift, None),
    "current_channel": (CurrentChannel, None),
    "current_probe": (CurrentProbe, None),
    "shunt": (Shunt, None),
    "clamp": (Clamp, None),
    "current_inverted": (CurrentInverted, False),
    "current_zero": (CurrentZero, None),
    "current_drift": (CurrentDrift, None),
    "current_delay": (CurrentDelay, None),
    "current_bandwidth": (CurrentBandwidth, None),
    "open_voltage": (OpenVoltage, None),
    "burning_voltage": (BurningVoltage, None),
    "voltage_noise": (VoltageNoise, None),
    "current_noise": (CurrentNoise, None),
    "time_constant": (TimeConstant, None),
    "on_time": (OnTime, None),
    "capacitance": (Capacitance, None),
    "dry": (Dry, False),
    "separator": (Separator, None),
    "decimal": (Decimal, None),
    "skip_lines": (SkipLines, None),
    "rate": (Rate, None),
    "missing": (Missing, None),
}
"""Options of every command that reads a capture: how its files are to be read; with their defaults."""


def takes_recorder_options(command: Callable[..., None]) -> Callable[..., None]:
    """Give a command the options of a recorder; it gets them by name, those not given as None or False."""
    signature = inspect.signature(command)
    own = [each for each in signature.parameters.values() if each.kind is not inspect.Parameter.VAR_KEYWORD]
    more = [
        inspect.Parameter(name, inspect.Parameter.KEYWORD_ONLY, default=default, annotation=note)
        for name, (note, default) in RECORDER_OPTIONS.items()
    ]
    command.__signature__ = signature.replace(parameters=[*own, *more])  # type: ignore[attr-defined]
    command.__annotations__ = command.__annotations__ | {
        name: note for name, (note, _) in RECORDER_OPTIONS.items()
    }
    command.__annotations__.pop("said", None)
    return command
