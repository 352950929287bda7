"""A law is checked against print, or says why it cannot be."""

import ast
import tomllib
from pathlib import Path

from tests.house.code import PACKAGE, ROOT, files, laws, report

REASONS = Path(__file__).with_name("without_reference.toml")
CEILING = 3
"""Laws without a reference test; this number may only fall."""
LEAST = 40
"""Reference tests there are at least."""


def imported_names(path: Path) -> set[str]:
    """Full names of what a test file takes from our modules and uses."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    used = {node.id for node in ast.walk(tree) if isinstance(node, ast.Name)}
    reached = {
        f"{node.value.id}.{node.attr}"
        for node in ast.walk(tree)
        if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name)
    }
    found = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom) and node.module and node.module.startswith("gapwright"):
            for alias in node.names:
                name = alias.asname or alias.name
                if name in used:
                    found.add(f"{node.module}.{alias.name}")
                found |= {
                    f"{node.module}.{alias.name}.{dotted.split('.')[1]}"
                    for dotted in reached
                    if dotted.split(".")[0] == name
                }
    return found


def reference_tests() -> list[tuple[str, ast.FunctionDef]]:
    """Every test under tests/reference with its place."""
    return [
        (f"{path.relative_to(ROOT)}:{node.lineno} {node.name}", node)
        for path in files("tests/reference")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.FunctionDef) and node.name.startswith("test_")
    ]


def cited(test: ast.FunctionDef) -> list[str]:
    """Keys that a test's source markers name."""
    return [
        str(mark.args[0].value)
        for mark in test.decorator_list
        if isinstance(mark, ast.Call)
        and isinstance(mark.func, ast.Attribute)
        and mark.func.attr == "source"
        and mark.args
        and isinstance(mark.args[0], ast.Constant)
    ]


def test_every_law_has_a_reference_test_or_a_reason() -> None:
    checked = {name for path in files("tests/reference") for name in imported_names(path)}
    excused = tomllib.loads(REASONS.read_text(encoding="utf-8"))
    names = {law.name for law in laws()}
    bare = sorted(names - checked - set(excused))
    stale = sorted((set(excused) & checked) | (set(excused) - names))
    breaches = [f"{name} has neither" for name in bare]
    breaches += [f"{name} is excused in {REASONS.name} without need" for name in stale]
    breaches += [
        f"{name} is excused without a reason" for name, reason in excused.items() if len(reason) < 20
    ]
    assert not breaches, report(breaches, "a law has a test under tests/reference or a stated reason:")
    assert len(excused) <= CEILING, (
        f"{len(excused)} laws are excused; the list may only shrink below {CEILING}"
    )


def test_every_reference_test_names_its_source() -> None:
    with (PACKAGE / "facts" / "data" / "sources.toml").open("rb") as file:
        known = set(tomllib.load(file))
    breaches = []
    for place, test in reference_tests():
        keys = cited(test)
        breaches += [] if keys else [f"{place} has no source marker"]
        breaches += [
            f"{place}: {key!r} is not in facts/data/sources.toml" for key in keys if key not in known
        ]
    assert not breaches, report(breaches, 'a reference test is marked source("key", "where"):')


def test_there_are_enough_reference_tests() -> None:
    assert len(reference_tests()) >= LEAST
