"""The page's sources keep to its rules: small files, one place for colours, no address, a true contract."""

import gzip
import json
import re

import pytest

from gapwright.shell.palette import DARK, LIGHT
from page.write_contract import contract
from tests.house.code import ROOT, report

PAGE = ROOT / "page"
BUILT = ROOT / "src" / "gapwright" / "web" / "static"
TOKENS = PAGE / "src" / "look" / "tokens.css"
GENERATED = PAGE / "src" / "server" / "contract.d.ts"
SOURCES = sorted(
    path
    for path in (PAGE / "src").rglob("*")
    if path.suffix in {".ts", ".svelte", ".css"} and path != GENERATED
)
FILE_LINES = 300
COLOUR = re.compile(r"#[0-9a-fA-F]{3,8}\b(?!\S*[\"'] ?:)|\brgba?\(")
ADDRESS = re.compile(r"\bhttps?://|\bwww\.")
LARGEST_BUNDLE = 400_000


def lines_with(pattern: re.Pattern[str]) -> list[str]:
    """Lines of the sources, tokens left out, in which a pattern is found."""
    return [
        f"{path.relative_to(ROOT)}:{number} {line.strip()[:80]}"
        for path in SOURCES
        if path != TOKENS
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1)
        if pattern.search(line)
    ]


def tokens(heading: str) -> dict[str, str]:
    """Colours that a rule of the token file declares."""
    text = TOKENS.read_text(encoding="utf-8")
    body = text[text.index(heading) :].split("}", 1)[0]
    return dict(re.findall(r"--([\w-]+): (#[0-9a-f]{6});", body))


def test_there_are_sources() -> None:
    assert len(SOURCES) > 40


def test_no_file_of_the_page_is_long() -> None:
    counts = {path: len(path.read_text(encoding="utf-8").splitlines()) for path in SOURCES}
    breaches = [f"{path.relative_to(ROOT)} has {n}" for path, n in counts.items() if n > FILE_LINES]
    assert not breaches, report(breaches, f"a file has at most {FILE_LINES} lines:")


def test_colours_stand_in_one_file() -> None:
    breaches = lines_with(COLOUR)
    assert not breaches, report(breaches, "a colour is named by its token:")


def test_sources_name_no_address() -> None:
    breaches = lines_with(ADDRESS)
    assert not breaches, report(breaches, "the page asks nothing of the network:")


def test_lock_names_no_registry() -> None:
    lock = json.loads((PAGE / "package-lock.json").read_text(encoding="utf-8"))
    told = [name for name, entry in lock["packages"].items() if {"resolved", "funding"} & set(entry)]
    assert not told, report(told, "run `npm run tidy` in page/ after changing what the page is built of:")


@pytest.mark.parametrize(
    ("heading", "palette"), [(":root {", LIGHT), (':root[data-light="dark"] {', DARK)], ids=["light", "dark"]
)
def test_page_and_reports_have_the_same_colours(heading: str, palette: dict[str, str]) -> None:
    here = tokens(heading)
    drawn = {"ink", "paper", "store", "spark", "metal", "metal_soft", "electrode", "loss", "wanted", "danger"}
    assert {name: here[name.replace("_", "-")] for name in drawn} == {name: palette[name] for name in drawn}


def test_contract_is_the_servers() -> None:
    told = json.loads((PAGE / "openapi.json").read_text(encoding="utf-8"))
    assert told == json.loads(json.dumps(contract())), "run `make page`: the calls of the bench have changed"


def test_built_page_is_small_and_holds_no_inline_script() -> None:
    files = [path for path in BUILT.rglob("*") if path.is_file()]
    assert sum(len(gzip.compress(path.read_bytes())) for path in files) < LARGEST_BUNDLE
    index = (BUILT / "index.html").read_text(encoding="utf-8")
    assert re.findall(r"<script(?![^>]*\bsrc=)", index) == []
    assert "style=" not in index
