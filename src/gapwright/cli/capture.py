"""The commands below `capture`."""

from collections.abc import Callable
from typing import TYPE_CHECKING

import typer

from gapwright.cli.capture_options import (
    FILE_KEYS,
    HOOKUP_KEYS,
    SETTING_KEYS,
    BurningVoltage,
    Capacitance,
    Clamp,
    CurrentBandwidth,
    CurrentChannel,
    CurrentDelay,
    CurrentInverted,
    CurrentProbe,
    CurrentZero,
    Decimal,
    Figure,
    Files,
    Generator,
    Keep,
    Missing,
    OnTime,
    OpenVoltage,
    Rate,
    Rig,
    Separator,
    Shunt,
    SkipLines,
    Sparks,
    VoltageChannel,
    VoltageInverted,
    VoltageProbe,
    VoltageZero,
    request_of,
)
from gapwright.cli.options import Json, Quiet, RigFile

if TYPE_CHECKING:
    from gapwright.app.captures import CaptureInHand, CaptureRequest


def in_hand(request: "CaptureRequest", *, quiet: bool) -> "CaptureInHand":
    """Read a capture, with progress on stderr."""
    from gapwright import wiring
    from gapwright.app.captures import read_capture
    from gapwright.cli.progress import Line

    line = Line(quiet=quiet)
    try:
        return read_capture(request, wiring.capture_hands(line))
    finally:
        line.clear()


def capture_read(
    files: Files,
    rig: Rig = None,
    generator: Generator = None,
    voltage_channel: VoltageChannel = None,
    voltage_probe: VoltageProbe = None,
    voltage_inverted: VoltageInverted = False,
    voltage_zero: VoltageZero = None,
    current_channel: CurrentChannel = None,
    current_probe: CurrentProbe = None,
    shunt: Shunt = None,
    clamp: Clamp = None,
    current_inverted: CurrentInverted = False,
    current_zero: CurrentZero = None,
    current_delay: CurrentDelay = None,
    current_bandwidth: CurrentBandwidth = None,
    open_voltage: OpenVoltage = None,
    burning_voltage: BurningVoltage = None,
    on_time: OnTime = None,
    capacitance: Capacitance = None,
    separator: Separator = None,
    decimal: Decimal = None,
    skip_lines: SkipLines = None,
    rate: Rate = None,
    missing: Missing = None,
    keep: Keep = None,
    sparks: Sparks = None,
    json: Json = False,
    quiet: Quiet = False,
) -> None:
    """Read what a recorder saved: how many sparks of which class, their energy, charge and delay."""
    from gapwright import wiring
    from gapwright.app.documents import as_json
    from gapwright.cli.show.capture import show_capture

    options = dict(locals())
    request = request_of(files, rig, {k: options[k] for k in (*FILE_KEYS, *HOOKUP_KEYS, *SETTING_KEYS)})
    if sparks is not None:
        wiring.require_table_place(sparks)
    found = in_hand(request, quiet=quiet)
    if keep is not None:
        wiring.keep_in_folder(found, keep)
        typer.echo(f"capture kept in {keep}", err=True)
    if sparks is not None:
        wiring.write_sparks(sparks, found)
        typer.echo(f"sparks written to {sparks}", err=True)
    if json:
        typer.echo(as_json(found.answer))
    else:
        show_capture(found.answer)


def capture_setup(rig: RigFile, figure: Figure = None, json: Json = False) -> None:
    """Before the first capture: where the earth clip may go, probes, shunt, sample rate and bits."""
    from gapwright import wiring
    from gapwright.app.captures import capture_setup as setup_of
    from gapwright.app.documents import as_json
    from gapwright.cli.show.capture_setup import show_setup

    if figure is not None:
        wiring.require_writable(figure)
    found = setup_of(rig, read=wiring.read_text)
    if figure is not None:
        wiring.write_earth_figure(figure, found, rig)
        typer.echo(f"figure written to {figure}", err=True)
    if json:
        typer.echo(as_json(found))
    else:
        show_setup(found)


CAPTURE: dict[str, tuple[Callable[..., None], str]] = {
    "read": (capture_read, "Read sparks out of files."),
    "setup": (capture_setup, "Hook a recorder up to a rig."),
}
"""Commands below `capture`, with the few words that the list of commands says of each."""
