"""Files and functions stay small; every folder has its rank."""

import ast
import tomllib
from pathlib import Path

from gapwright.base.compiled import kernel_sources
from tests.house.code import PACKAGE, ROOT, files, report

FILE_LINES = 300
FUNCTION_STATEMENTS = 30


def statements(function: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    """Number of statements in a function, its docstring and its own heading not counted."""
    inside = sum(isinstance(node, ast.stmt) for node in ast.walk(function)) - 1
    return inside - (ast.get_docstring(function) is not None)


def long_functions(path: Path) -> list[str]:
    """Functions of a file that are over the budget."""
    return [
        f"{path.relative_to(ROOT)}:{node.lineno} {node.name} has {statements(node)} statements"
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef) and statements(node) > FUNCTION_STATEMENTS
    ]


def is_kernel(path: Path) -> bool:
    """Whether a file is one of those in which a function may be long."""
    return path.name.startswith("_") and "kernel" in path.name


def ranks() -> set[str]:
    """Names in the layers contract."""
    with (ROOT / "pyproject.toml").open("rb") as file:
        contracts = tomllib.load(file)["tool"]["importlinter"]["contracts"]
    layers = next(contract["layers"] for contract in contracts if contract["type"] == "layers")
    return {name.strip(" ()") for layer in layers for name in layer.split("|")}


def test_no_file_is_long() -> None:
    counts = {path: len(path.read_text(encoding="utf-8").splitlines()) for path in files("src", "tests")}
    breaches = [
        f"{path.relative_to(ROOT)} has {count}" for path, count in counts.items() if count > FILE_LINES
    ]
    assert not breaches, report(breaches, f"a file has at most {FILE_LINES} lines:")


def test_no_function_is_long() -> None:
    breaches = [line for path in files("src") if not is_kernel(path) for line in long_functions(path)]
    assert not breaches, report(breaches, f"a function has at most {FUNCTION_STATEMENTS} statements:")


def test_statements_are_counted() -> None:
    function = ast.parse('def f():\n    """Text."""\n    x = 1\n    if x:\n        return 2\n').body[0]
    assert isinstance(function, ast.FunctionDef)
    assert statements(function) == 3


def test_every_folder_has_a_rank() -> None:
    folders = {path.parent.name for path in PACKAGE.glob("*/__init__.py")}
    modules = {path.stem for path in PACKAGE.glob("*.py")} - {"__init__"}
    homeless = sorted((folders | modules) - ranks())
    assert not homeless, report(homeless, "a folder stands in the layers contract of pyproject.toml:")


def test_folders_are_packages() -> None:
    bare = [
        path.parent.relative_to(ROOT).as_posix()
        for path in PACKAGE.rglob("*.py")
        if not (path.parent / "__init__.py").exists()
    ]
    assert not bare, report(sorted(set(bare)), "a folder with code has an __init__.py:")


def test_kernels_are_hashed_with_all_they_can_reach() -> None:
    reached = set(kernel_sources(PACKAGE))
    missing = [
        f"{path.name} imports {name}"
        for path in sorted(reached)
        for name in modules(path)
        if name.startswith("gapwright.")
        and (place := PACKAGE.joinpath(*name.split(".")[1:]).with_suffix(".py")).is_file()
        and place not in reached
    ]
    assert not missing, report(missing, "what a kernel imports is part of the hash:")


def test_only_one_file_compiles() -> None:
    breaches = [
        path.relative_to(ROOT).as_posix()
        for path in files("src")
        if path != PACKAGE / "base" / "compiled.py" and "numba" in imported(path)
    ]
    assert not breaches, report(breaches, "only gapwright.base.compiled imports the compiler:")


def modules(path: Path) -> set[str]:
    """Modules that a file imports anywhere, by their whole names."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            found |= {node.module, *(f"{node.module}.{alias.name}" for alias in node.names)}
    return found


def imported(path: Path) -> set[str]:
    """Packages that a file imports anywhere."""
    return {name.split(".")[0] for name in modules(path)}
