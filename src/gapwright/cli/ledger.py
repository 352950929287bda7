"""The command `ledger`: the account of a forecast, or of what was measured."""

from typing import Annotated, Any

import typer

from gapwright.cli.capture_options import Rig, option_value, request_of, takes_recorder_options
from gapwright.cli.forecast import MEMBERS, answered
from gapwright.cli.options import Json, Members, Quiet, Seed

RigOfForecast = Annotated[
    str | None, typer.Argument(metavar="RIG", help="File that describes the rig, for a forecast.")
]
JobOfForecast = Annotated[
    str | None, typer.Argument(metavar="JOB", help="File that describes the hole, for a forecast.")
]
Captures = Annotated[
    list[str] | None,
    typer.Option("--capture", metavar="FILE", help="Account for a capture; again for each file of a run."),
]
SupplyVoltage = Annotated[
    str | None, typer.Option("--supply-voltage", metavar="VOLTAGE", help="What a meter showed meanwhile.")
]
SupplyCurrent = Annotated[
    str | None,
    typer.Option("--supply-current", metavar="CURRENT", help="Mean out of the supply meanwhile."),
]
SocketPower = Annotated[
    str | None, typer.Option("--socket-power", metavar="POWER", help="What the supply alone drew meanwhile.")
]
AuxiliaryPower = Annotated[
    str | None,
    typer.Option(
        "--auxiliary-power", metavar="POWER", help="Of spindle, machine, pump and controller meanwhile."
    ),
]
SupplyCapture = Annotated[
    str | None,
    typer.Option(
        "--supply-capture", metavar="FILE", help="Voltage and current out of the supply, recorded meanwhile."
    ),
]
Uncertainties = Annotated[
    list[str] | None,
    typer.Option(
        "--uncertainty",
        metavar="NAME=SHARE",
        help="Standard uncertainty of an instrument, such as current-gain=1%; again for each: "
        "supply-voltage, supply-current, socket-power, voltage-gain, current-gain, capacitance.",
    ),
]
METERS = ("supply_voltage", "supply_current", "socket_power", "auxiliary_power")


@takes_recorder_options
def ledger(
    rig: RigOfForecast = None,
    job: JobOfForecast = None,
    capture: Captures = None,
    captured_rig: Rig = None,
    supply_voltage: SupplyVoltage = None,
    supply_current: SupplyCurrent = None,
    socket_power: SocketPower = None,
    auxiliary_power: AuxiliaryPower = None,
    supply_capture: SupplyCapture = None,
    uncertainty: Uncertainties = None,
    json: Json = False,
    seed: Seed = 0,
    members: Members = MEMBERS,
    quiet: Quiet = False,
    **said: Any,
) -> None:
    """Account for every joule from the socket to the metal: of one forecast drilling, or of a capture.

    Give RIG and JOB for a forecast; --capture with --rig for what was measured; RIG, JOB and
    --capture for the measured account beside the forecast's.
    """
    meters = {
        key: option_value(key, value)
        for key, value in zip(
            METERS, (supply_voltage, supply_current, socket_power, auxiliary_power), strict=True
        )
        if value is not None
    }
    if capture:
        meters |= uncertainties(uncertainty or [])
        files = (rig, job) if captured_rig is None else (captured_rig, None)
        require_rig(rig, job, captured_rig)
        said["supply_capture"] = supply_capture
        measured(capture, files, meters, said, json=json, seed=seed, members=members, quiet=quiet)
        return
    recorded = {"rig": captured_rig, "supply_capture": supply_capture, "uncertainty": uncertainty}
    require_forecast(rig, job, {**said, **meters, **recorded})
    forecast_account(f"{rig}", f"{job}", json=json, seed=seed, members=members, quiet=quiet)


def uncertainties(said: list[str]) -> dict[str, float]:
    """Shares by the fields of meter readings, from texts such as "current-gain=1%".

    Raises
    ------
    InputRefused
        If there is no such instrument, it is said twice, or the share is none.
    """
    from gapwright.app.capture_questions import SURENESS
    from gapwright.base.checks import close_names
    from gapwright.base.errors import InputRefused
    from gapwright.base.quantity import quantity

    names = {key.removesuffix("_uncertainty").replace("_", "-"): key for key in SURENESS}
    found: dict[str, float] = {}
    for text in said:
        name, _, share = text.partition("=")
        if name not in names:
            raise InputRefused(
                f"--uncertainty must be NAME=SHARE with NAME one of {', '.join(names)}, got {text!r}"
                f"{close_names(name, list(names))}"
            )
        if names[name] in found:
            raise InputRefused(f"the uncertainty of {name} must be given once, got it twice; leave one out")
        found[names[name]] = quantity(share, "", name=f"--uncertainty {name}")
    return found


def require_rig(rig: str | None, job: str | None, captured_rig: str | None) -> None:
    """Refuse a capture whose rig is not given, or given twice."""
    from gapwright.base.errors import InputRefused

    if captured_rig is not None and (rig is not None or job is not None):
        raise InputRefused("a rig must be given once, got RIG and --rig; leave one of them out")
    if captured_rig is None and (rig is None or job is None):
        raise InputRefused("--capture must come with --rig RIG, or with RIG and JOB; name the rig")


def require_forecast(rig: str | None, job: str | None, others: dict[str, Any]) -> None:
    """Refuse what says nothing about a forecast."""
    from gapwright.base.errors import InputRefused

    given = next((key for key, value in others.items() if value not in (None, False)), None)
    if given is not None:
        raise InputRefused(f"--{given.replace('_', '-')} goes with --capture; give a capture or leave it out")
    if rig is None or job is None:
        raise InputRefused("a ledger must have RIG and JOB, or --capture with --rig; name the files")


def forecast_account(rig: str, job: str, *, json: bool, seed: int, members: int, quiet: bool) -> None:
    """Print the account of a forecast."""
    from gapwright.app.documents import as_json
    from gapwright.app.forecast import ledger_of
    from gapwright.cli.show.ledger import show_ledger
    from gapwright.cli.show.paper import paper

    account = ledger_of(answered(rig, job, seed=seed, members=members, quiet=quiet))
    if json:
        typer.echo(as_json(account))
    else:
        console = paper()
        console.print(f"{account.rig}, {account.job}", style="dim")
        show_ledger(console, account.ledger)


def measured(
    capture: list[str],
    files: tuple[str | None, str | None],
    meters: dict[str, float],
    said: dict[str, Any],
    *,
    json: bool,
    seed: int,
    members: int,
    quiet: bool,
) -> None:
    """Print the account of a capture."""
    from gapwright import wiring
    from gapwright.app.documents import as_json
    from gapwright.app.measured import ledger_of_capture, supply_power, with_supply
    from gapwright.base.progress import silent
    from gapwright.cli.capture import in_hand
    from gapwright.cli.show.measured import show_measured
    from gapwright.study.captures.meter_readings import MeterReadings

    rig, job = files
    supply = said.pop("supply_capture")
    readings = MeterReadings(**meters)
    if supply is not None:
        readings = with_supply(readings, supply_power(supply, wiring.capture_hands(silent)))
    found = in_hand(request_of(capture, rig, said), quiet=quiet)
    beside = None
    if rig is not None and job is not None:
        beside = answered(rig, job, seed=seed, members=members, quiet=quiet).forecast.ledger
    account = ledger_of_capture(found, readings, forecast=beside)
    if json:
        typer.echo(as_json(account))
    else:
        show_measured(account)
