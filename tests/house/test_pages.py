"""Pages lead where they say, and decisions are numbered and dated."""

import re
from pathlib import Path

import pytest

from tests.house.code import ROOT, report

LINK = re.compile(r"\[[^\]]*\]\(([^)#\s]+)\)")
STATE = r"(?:accepted|proposed|replaced by \d{4})(?:; [^.\n]+)?"
HEAD = re.compile(rf"# (\d{{4}})\. \S.*\n\nDate: \d{{4}}-\d\d-\d\d\. State: {STATE}\.\n")
PARTS = ["Question", "Decision", "Why", "What follows"]


def pages() -> list[Path]:
    """Pages that people read."""
    return sorted([*ROOT.glob("*.md"), *(ROOT / "docs").rglob("*.md"), *(ROOT / "examples").rglob("*.md")])


def decisions() -> list[Path]:
    """Decision notes, without the one to copy."""
    return [path for path in sorted((ROOT / "docs" / "decisions").glob("*.md")) if path.name[:4] != "0000"]


def test_every_link_leads_somewhere() -> None:
    breaches = [
        f"{page.relative_to(ROOT)} leads to {place}, which is not there"
        for page in pages()
        for place in LINK.findall(page.read_text(encoding="utf-8"))
        if not (page.parent / place).exists()
    ]
    assert not breaches, report(breaches, "a link leads to a file of this project:")


@pytest.mark.parametrize("path", decisions(), ids=lambda path: path.stem)
def test_a_decision_has_number_date_state_and_four_parts(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    head = HEAD.match(text)
    assert head, f"{path.name} must begin as 0000-template.md does"
    assert head.group(1) == path.name[:4]
    assert re.findall(r"^## (.+)$", text, re.MULTILINE) == PARTS


def test_decisions_are_numbered_without_gaps() -> None:
    numbers = [int(path.name[:4]) for path in decisions()]
    assert numbers == list(range(1, len(numbers) + 1))
