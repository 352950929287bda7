"""The page of all commands, made from the commands themselves: ``python -m gapwright.cli.reference``."""

import sys
from typing import Any

import typer

HEAD = """# Commands

Made from the program by `python -m gapwright.cli.reference`; do not edit.

Results go to stdout, progress and remarks to stderr. With `--json` a command prints one JSON
object in SI units, whose keys end in the unit; `gapwright schema COMMAND` prints its JSON Schema.

| exit code | meaning |
|---|---|
| 0 | done; a forecast that does not get through is an answer |
| 1 | a fault of gapwright: one line here, the traceback in the log file |
| 2 | the input was refused: one line says what, which rule, what was got and what to do |
| 130 | interrupted; no file is left half written |
"""


def commands_page() -> str:
    """The whole page in Markdown."""
    from gapwright.cli.main import face

    group: Any = typer.main.get_command(face())
    parts = [HEAD]
    with group.make_context("gapwright", [], resilient_parsing=True) as context:
        parts += [command_part(name, group.commands[name], context) for name in group.list_commands(context)]
    return "\n".join(parts)


def group_part(name: str, group: Any, parent: Any, before: str) -> str:
    """Commands that belong together, one after another."""
    context = group.context_class(group, info_name=name, parent=parent)
    parts = [
        command_part(inner, group.commands[inner], context, f"{before}{name} ")
        for inner in group.list_commands(context)
    ]
    return "\n".join([f"## {before}{name}", "", (group.help or "").strip(), "", *parts])


def command_part(name: str, command: Any, parent: Any, before: str = "") -> str:
    """One command: use, meaning, arguments and options; `before` is the group it belongs to."""
    if getattr(command, "commands", None):
        return group_part(name, command, parent, before)
    context = command.context_class(command, info_name=name, parent=parent)
    parameters = [each for each in command.get_params(context) if each.name != "help"]
    places = [each.metavar for each in parameters if each.param_type_name == "argument"]
    usage = " ".join([f"gapwright {before}{name}", *places, "[OPTIONS]"])
    rows = [row_text(parameter) for parameter in parameters]
    table = ["| | |", "|---|---|", *rows] if rows else []
    return "\n".join(
        [f"## {before}{name}", "", f"`{usage}`", "", (command.help or "").strip(), "", *table, ""]
    )


def row_text(parameter: Any) -> str:
    """One argument or option as a row."""
    if parameter.param_type_name == "argument":
        name = parameter.metavar
    else:
        value = "" if parameter.is_flag else f" {parameter.metavar or ''}"
        name = ", ".join(parameter.opts) + value
    default = parameter.default
    shown = f" Default: {default}." if isinstance(default, int) and not isinstance(default, bool) else ""
    return f"| `{name.strip()}` | {parameter.help or ''}{shown} |"


if __name__ == "__main__":
    sys.stdout.write(commands_page())
