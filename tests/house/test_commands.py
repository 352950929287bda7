"""Every command and option has help, and the page of commands is what the program says."""

from collections.abc import Iterator
from typing import Any

import typer

from gapwright.cli.main import face
from gapwright.cli.reference import commands_page
from tests.house.code import ROOT, report

PAGE = ROOT / "docs" / "commands.md"
UNIVERSAL = {"--help", "-h"}


def commands(group: Any, place: str = "gapwright") -> Iterator[tuple[str, Any]]:
    """Every command below a group, with the words that call it."""
    for name, command in sorted(group.commands.items()):
        yield f"{place} {name}", command
        if getattr(command, "commands", None):
            yield from commands(command, f"{place} {name}")


def all_commands() -> list[tuple[str, Any]]:
    """Every command of the program."""
    return list(commands(typer.main.get_command(face())))


def test_every_command_and_option_has_help() -> None:
    breaches = []
    for place, command in all_commands():
        if not (command.help or "").strip():
            breaches.append(f"{place} has no help")
        bare = [each for each in command.params if each.name != "help" and not (each.help or "").strip()]
        breaches += [f"{place}: {'/'.join(each.opts)} has no help" for each in bare]
    assert not breaches, report(breaches, "a command and each of its options says what it does:")


def test_the_page_names_every_command_and_option() -> None:
    page = PAGE.read_text(encoding="utf-8")
    breaches = []
    for place, command in all_commands():
        name = place.split(" ", 1)[1]
        breaches += [] if f"## {name}\n" in page else [f"{place} is not on the page"]
        long = {option for each in command.params for option in each.opts if option.startswith("--")}
        breaches += [f"{place}: {each} is not on the page" for each in long - UNIVERSAL if each not in page]
    assert not breaches, report(breaches, "docs/commands.md names every command and option:")


def test_the_page_is_not_stale() -> None:
    assert PAGE.read_text(encoding="utf-8") == commands_page(), "docs/commands.md is stale; run: make docs"


def test_the_contract_is_there() -> None:
    names = {place.split(" ", 1)[1] for place, _ in all_commands()}
    wanted = {"demo", "forecast", "ledger", "circuit", "facts", "schema", "check-install"}
    assert wanted <= names, f"missing: {', '.join(sorted(wanted - names))}"


def test_what_gives_a_result_gives_it_as_json_too() -> None:
    breaches = [
        place
        for place, command in all_commands()
        if not place.endswith((" schema", " bench"))  # prints JSON as it is; serves a page
        and not getattr(command, "commands", None)
        and "--json" not in {option for each in command.params for option in each.opts}
    ]
    assert not breaches, report(breaches, "a command takes --json:")
