"""What we write speaks of gapwright alone, and works on any machine without a network."""

import re
import subprocess
from pathlib import Path

import pytest

from tests.house.code import ROOT, report

SELF = Path(__file__).relative_to(ROOT).as_posix()
TEXT = {".py", ".md", ".toml", ".txt", ".html", ".j2", ".css", ".cir", ".csv", ".json", ".svg", ".yml", ""}

PATTERNS = {
    "a path of one machine": r"(?<![\w.])/(?:work|tmp|home|farm|root|Users)/\w",
    "a name of a package registry": r"\b(?:python[h]osted|py[p]i\.org|re[g]istry\.npmjs|proxy\.go[l]ang)",
    "talk about the writing, not the product": (
        r"(?i)\bas an ai\b|\blanguage model\b|\bhelper session|\bthis session\b|\bsub-?agent|\bthe brief\b"
        r"|\bclaude\b|\bgpt\b|\bcopilot\b"
    ),
    "a note that is not in this repository": (
        r"(?i)\bshared/|\bnotes/\w+\.md|(?<![\w/])(?:design|style|stack|practice|erosion)\.md\b|\bissue #?\d"
    ),
    "unfinished work": r"\b(?:TODO|FIXME|XXX|HACK)\b|(?i:\blorem ipsum\b)",
}
ADDRESS = re.compile(r"\bhttps?://[^\s\"'<>)]+|\bwww\.\w+")
NOT_AN_ADDRESS = re.compile(r"https?://(?:www\.w3\.org/|json-schema\.org/|127\.0\.0\.1|localhost)")
"""Names of namespaces look like addresses, and this machine is no other."""


def tracked() -> list[str]:
    """Files of the repository, by their place in it."""
    asked = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=False)
    if asked.returncode != 0:
        pytest.skip("not a git checkout")
    return [name for name in asked.stdout.split("\0") if name and (ROOT / name).is_file()]


def readable(name: str) -> bool:
    """Whether a file is text that people write."""
    return Path(name).suffix in TEXT and name != SELF


def breaches_in(text: str, place: str) -> list[str]:
    """Lines that say what they should not."""
    found = []
    for number, line in enumerate(text.splitlines(), 1):
        found += [
            f"{place}:{number} {rule}: {line.strip()[:80]}"
            for rule, p in PATTERNS.items()
            if re.search(p, line)
        ]
        found += [
            f"{place}:{number} a web address: {hit.group(0)[:60]}"
            for hit in ADDRESS.finditer(line)
            if not NOT_AN_ADDRESS.match(hit.group(0))
        ]
    return found


def test_files_speak_of_gapwright_alone() -> None:
    texts = {name: (ROOT / name).read_text(encoding="utf-8") for name in tracked() if readable(name)}
    breaches = [line for name, text in texts.items() for line in breaches_in(text, name)]
    assert not breaches, report(breaches, "name works by author, year, title; no machine, no address:")


def test_names_say_what_a_thing_is() -> None:
    vague = {"utils", "util", "helpers", "helper", "common", "manager", "misc"}
    breaches = [name for name in tracked() if vague & {part.split(".")[0] for part in Path(name).parts}]
    assert not breaches, report(breaches, "a name says what a thing is:")


@pytest.mark.parametrize(
    "line",
    [
        "see " + "/".join(("", "home", "somebody")),
        'open("/tmp/cache")',
        "as notes/power.md says",
        "index-url = " + ".".join(("pypi", "org")),
        "# TODO later",
        "see https://example.org/paper",
        "written by a helper session",
    ],
)
def test_a_wrong_line_is_seen(line: str) -> None:
    assert breaches_in(line, "x.md")


@pytest.mark.parametrize(
    "line",
    [
        'xmlns="http://www.w3.org/2000/svg"',
        "the session of a link",
        "Holm (1967)",
        "docs/decisions/0001-a.md",
    ],
)
def test_a_right_line_passes(line: str) -> None:
    assert breaches_in(line, "x.md") == []
