"""The command line: which commands there are, and how each way of ending is told."""

import contextlib
import io
import os
import sys
from collections.abc import Callable

import typer

from gapwright import __version__
from gapwright.app.ports import ServeBench
from gapwright.base.errors import FactMissing, InputRefused, OutOfRange, StoreFault
from gapwright.cli.bench import bench
from gapwright.cli.capture import CAPTURE
from gapwright.cli.circuit import circuit
from gapwright.cli.demo import demo
from gapwright.cli.facts import facts
from gapwright.cli.forecast import forecast
from gapwright.cli.installation import check_install
from gapwright.cli.leads import leads
from gapwright.cli.ledger import ledger
from gapwright.cli.schema import schema
from gapwright.cli.size import size

DONE, FAULT, REFUSED, INTERRUPTED = 0, 1, 2, 130
"""Exit codes."""

COMMANDS: dict[str, tuple[Callable[..., None], str]] = {
    "demo": (demo, "Three invented rigs, side by side."),
    "forecast": (forecast, "Forecast a hole on a rig."),
    "ledger": (ledger, "Account for every joule."),
    "circuit": (circuit, "Run the generator alone."),
    "bench": (bench, "Open the page where the joule is followed."),
    "size": (size, "Propose a generator for a spark energy and rate."),
    "leads": (leads, "Inductance and resistance of leads."),
    "facts": (facts, "Browse the tables and their sources."),
    "schema": (schema, "Print the JSON Schema of a file or result."),
    "check-install": (check_install, "Look whether everything is here."),
}
"""Every command, with the few words that the list of commands says of it."""

GROUPS: dict[str, tuple[dict[str, tuple[Callable[..., None], str]], str]] = {
    "capture": (CAPTURE, "Read what a recorder saved of the sparks."),
}
"""Commands that belong together, below one word, and the few words that the list says of it."""

CHECKED_VERSION = typer.Option(False, "--version", help="Print the version and end.")


def face() -> typer.Typer:
    """The command line with all its commands."""
    app = typer.Typer(
        name="gapwright",
        add_completion=False,
        rich_markup_mode=None,
        pretty_exceptions_enable=False,
        context_settings={"help_option_names": ["--help", "-h"], "max_content_width": 100},
    )
    app.callback(invoke_without_command=True)(root)
    for name, (command, short) in COMMANDS.items():
        app.command(name, short_help=short)(command)
    for name, (commands, short) in GROUPS.items():
        group = typer.Typer(help=short, rich_markup_mode=None, no_args_is_help=True)
        for inner, (command, told) in commands.items():
            group.command(inner, short_help=told)(command)
        app.add_typer(group, name=name)
    return app


def root(context: typer.Context, version: bool = CHECKED_VERSION) -> None:
    """The workbench for a home-built spark-erosion hole-drilling rig.

    Describe the rig and the hole in two small files; get whether it goes through, how
    long it takes and what limits it, where each joule goes, and what to be careful about.
    """
    if version:
        typer.echo(f"gapwright {__version__}")
    elif context.invoked_subcommand is None:
        typer.echo(context.get_help())


def run(arguments: list[str], *, serve: ServeBench | None = None) -> int:
    """Run one command line; returns the exit code. `serve` starts the page, where there is one."""
    speak_utf_8()
    try:
        code = face()(args=arguments, prog_name="gapwright", standalone_mode=False, obj=serve)
        sys.stdout.flush()
    except (Exception, KeyboardInterrupt, SystemExit) as error:  # noqa: BLE001 - every way of ending is told
        return ended(error, arguments)
    return ended(KeyboardInterrupt(), arguments) if code == INTERRUPTED else int(code or DONE)


def ended(error: BaseException, arguments: list[str]) -> int:
    """Tell how a command came to an end; returns the exit code."""
    match error:
        case typer.TyperException():
            return told(refusal_text(error), error.exit_code)
        case InputRefused() | FactMissing() | OutOfRange() | StoreFault():
            return told(str(error), REFUSED)
        case KeyboardInterrupt() | typer.Abort():
            return told("interrupted; no file was left half written", INTERRUPTED)
        case BrokenPipeError() | SystemExit():
            # Without the standalone mode, only a reader that went away ends this way.
            hush()
            return DONE
        case _:
            return told(fault_text(error, arguments), FAULT)


def speak_utf_8() -> None:
    """Have units and arrows printed whatever the terminal's language."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(encoding="utf-8", errors="replace")


def hush() -> None:
    """The reader went away: leave without another word."""
    with contextlib.suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def told(message: str, code: int) -> int:
    """Say one line on stderr; returns `code`."""
    with contextlib.suppress(BrokenPipeError):
        sys.stderr.write(f"gapwright: {' '.join(message.split())}\n")
        sys.stderr.flush()
    return code


def refusal_text(error: typer.TyperException) -> str:
    """What is wrong with a command line, and where to read on."""
    message = misfit_text(error) or error.format_message().rstrip(".")
    context = getattr(error, "ctx", None)
    place = context.command_path if context is not None else "gapwright"
    return f"{message[:1].lower()}{message[1:]}; see '{place} --help'"


RULES = {"int_parsing": "a whole number", "float_parsing": "a number"}
"""What a value of an option must be, by the kind of its misfit."""


def misfit_text(error: typer.TyperException) -> str:
    """What a value of an option must be, and what was got; empty where something else is wrong."""
    # Loaded only now: help needs no checks of values.
    from pydantic import ValidationError

    option, cause = getattr(error, "param", None), error.__cause__
    if option is None or not isinstance(cause, ValidationError):
        return ""
    misfit = cause.errors()[0]
    rule = RULES.get(misfit["type"])
    return f"{max(option.opts, key=len)} must be {rule}, got {misfit['input']}" if rule else ""


def fault_text(error: BaseException, arguments: list[str]) -> str:
    """One line about a fault of ours; the traceback goes to the log."""
    from gapwright.shell.log import keep_fault

    place = keep_fault(error, arguments)
    kept = f"the traceback is in {place}" if place else "the log could not be written"
    return f"a fault of gapwright, not of yours: {type(error).__name__}: {error}; {kept}"
