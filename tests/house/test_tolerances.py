"""No assertion accepts zero as an answer, and none has a tolerance by habit."""

import ast
from pathlib import Path

import pytest

from tests.house.code import ROOT, files, report

ZERO_BY_DEFAULT = {"allclose", "isclose"}
"""Comparisons whose default absolute tolerance accepts zero for a small number (numpy's two)."""
ABSOLUTE = {"abs", "atol", "abs_tol"}


def called(node: ast.Call) -> str:
    """Last part of the name of what is called."""
    if isinstance(node.func, ast.Attribute):
        return node.func.attr
    return node.func.id if isinstance(node.func, ast.Name) else ""


def number(node: ast.expr | None) -> float | None:
    """Value of a literal number, with its sign; None for anything else."""
    if isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub):
        value = number(node.operand)
        return None if value is None else -value
    if isinstance(node, ast.Constant) and isinstance(node.value, int | float):
        return float(node.value)
    return None


def loose_call(node: ast.Call) -> str | None:
    """What is wrong with the tolerance of a comparing call, if anything."""
    name = called(node)
    if name not in {"approx", "assert_allclose", *ZERO_BY_DEFAULT}:
        return None
    given = {keyword.arg: keyword.value for keyword in node.keywords}
    if any(number(value) != 0.0 for key, value in given.items() if key in ABSOLUTE):
        return f"{name} with an absolute tolerance; use rel or tests/printed.py"
    relative = number(given.get("rel") or given.get("rtol") or given.get("rel_tol"))
    if relative is not None and relative >= 1.0:
        return f"{name} with a relative tolerance of {relative:g} accepts zero"
    is_numpy = isinstance(node.func, ast.Attribute) and getattr(node.func.value, "id", "") in {"np", "numpy"}
    if name in ZERO_BY_DEFAULT and is_numpy and "atol" not in given:
        return f"{name} accepts zero for a small number; give atol=0"
    return None


def loose_difference(node: ast.Compare) -> str | None:
    """Find ``abs(x - 1e-9) < 1e-6``, which zero satisfies."""
    left = node.left
    if not (isinstance(left, ast.Call) and called(left) == "abs" and left.args):
        return None
    inside, limit = left.args[0], number(node.comparators[0])
    if not (isinstance(inside, ast.BinOp) and isinstance(inside.op, ast.Sub)) or limit is None:
        return None
    for value in (number(inside.left), number(inside.right)):
        if value is not None and value != 0.0 and abs(value) <= limit:
            return f"a difference from {value:g} within {limit:g} accepts zero"
    return None


def loose(path: Path) -> list[str]:
    """Lines of a test file whose tolerance accepts zero or is absolute."""
    found = []
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if not isinstance(node, ast.Call | ast.Compare):
            continue
        wrong = loose_call(node) if isinstance(node, ast.Call) else loose_difference(node)
        if wrong:
            found.append(f"{path}:{node.lineno} {wrong}")
    return found


def test_no_tolerance_accepts_zero() -> None:
    breaches = [
        line.removeprefix(f"{ROOT}/") for path in files("tests", "speed", "proof") for line in loose(path)
    ]
    assert not breaches, report(breaches, "a tolerance comes from the printed digits or is relative:")


@pytest.mark.parametrize(
    ("line", "wrong"),
    [
        ("assert x == approx(1e-15, abs=1e-4)", True),
        ("assert x == pytest.approx(1.0, rel=1.5)", True),
        ("assert np.isclose(x, 1e-9)", True),
        ("np.testing.assert_allclose(x, y, rtol=1e-3, atol=1e-9)", True),
        ("assert abs(x - 1e-9) < 1e-6", True),
        ("assert abs(x - 2.0) < 1e-6", False),
        ("assert x == approx(1e-15, rel=1e-4)", False),
        ("assert np.allclose(x, y, atol=0, rtol=1e-9)", False),
        ("assert math.isclose(x, y, rel_tol=1e-9)", False),
        ("assert abs(balance) < 1e-9", False),
    ],
)
def test_a_loose_line_is_seen(line: str, wrong: bool, tmp_path: Path) -> None:
    path = tmp_path / "test_line.py"
    path.write_text(line + "\n", encoding="utf-8")
    assert bool(loose(path)) is wrong


def test_approx_has_no_hidden_absolute_tolerance() -> None:
    assert pytest.approx(1e-15, rel=1e-6) != 0.0
    assert pytest.approx(1e-15, rel=1e-6) == 1e-15
