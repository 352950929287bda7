"""A law says in text what its signature says, names its source and shows a use."""

import re
import tomllib

import pytest

from gapwright.base.units import Amperes, Metres, Number
from tests.house.code import (
    LAW_FOLDERS,
    PACKAGE,
    PURE_FOLDERS,
    Public,
    entries,
    laws,
    public_functions,
    report,
    same_unit,
    sections,
    unit_in_text,
    units_in,
)

WITHOUT_A_WORK = ("common practice, no source", "from memory", "computed", "definition")
"""What a law may cite where there is no published work."""


def unit_breaches(public: Public) -> list[str]:
    """Arguments and answers whose text and signature do not agree."""
    hints, parts = public.hints, public.sections
    described = entries(parts.get("Parameters", ""))
    found = []
    for argument in public.arguments:
        units = units_in(hints.get(argument))
        if units and argument not in described:
            found.append(f"{public.name}: {argument} is not described under Parameters")
        elif len(units) == 1 and not same_unit(described[argument], units[0]):
            said = unit_in_text(described[argument])
            found.append(f"{public.name}: {argument} is in {units[0]!r}, the text ends with {said!r}")
    found += [
        f"{public.name}: the text describes {name}, which is no argument"
        for name in described
        if name not in public.arguments
    ]
    answers = list(entries(parts.get("Returns", "")).values())
    units = units_in(hints.get("return"))
    if units and len(answers) != len(units):
        found.append(f"{public.name}: returns {len(units)} quantities, the text describes {len(answers)}")
    elif units:
        found += [
            f"{public.name}: returns {unit!r}, the text ends with {unit_in_text(text)!r}"
            for text, unit in zip(answers, units, strict=True)
            if not same_unit(text, unit)
        ]
    return found


def text_breaches(public: Public) -> list[str]:
    """Parts of a law's text that are missing."""
    parts = public.sections
    notes, described = parts.get("Notes", ""), entries(parts.get("Parameters", ""))
    wanted = {
        "has no first line": parts[""],
        "has no equation (.. math::) in its Notes": ".. math::" in notes,
        'does not say where it holds ("Holds ...")': re.search(r"^Holds\b", notes, re.MULTILINE),
        'does not say what it leaves out ("Leaves out: ...")': re.search(
            r"\bLeaves out:? \w", " ".join(notes.split())
        ),
        "names no source under References": parts.get("References", "").strip(),
        "shows no use under Examples": ">>> " in parts.get("Examples", ""),
    }
    found = [f"{public.name} {breach}" for breach, fine in wanted.items() if not fine]
    found += [
        f"{public.name}: {argument} is not described"
        for argument in public.arguments
        if not described.get(argument)
    ]
    return found


def test_unit_in_text_is_unit_in_signature() -> None:
    breaches = [line for public in public_functions(*PURE_FOLDERS) for line in unit_breaches_of(public)]
    assert not breaches, report(breaches, "a unit stands in the signature and the text repeats it:")


def unit_breaches_of(public: Public) -> list[str]:
    """Only functions that carry a unit have a text to compare, outside the law families."""
    carries = any(units_in(hint) for hint in public.hints.values())
    documented = "Parameters" in public.sections
    in_laws = public.module.__name__.split(".")[1] in LAW_FOLDERS
    return unit_breaches(public) if carries and (in_laws or documented) else []


def test_law_says_where_it_holds_what_it_leaves_out_and_who_said_so() -> None:
    breaches = [line for law in laws() for line in text_breaches(law)]
    assert not breaches, report(breaches, "a law has five parts:")


def test_law_cites_a_known_work() -> None:
    with (PACKAGE / "facts" / "data" / "sources.toml").open("rb") as file:
        known = set(tomllib.load(file))
    breaches = []
    for law in laws():
        for line in filter(str.strip, law.sections.get("References", "").splitlines()):
            if line.startswith((" ", "\t")) or line.strip().startswith(WITHOUT_A_WORK):
                continue
            key = re.split(r"[,;:]", line.strip().lstrip("- *"))[0].strip()
            if key not in known:
                breaches.append(f"{law.name}: {key!r} is not in facts/data/sources.toml")
    assert not breaches, report(breaches, "a reference is a key of the table of sources:")


# The rules above must be able to fail.

WRONG = """Area under a line.

Parameters
----------
width
    Across, above 0.
    More about it. [mm]
gone
    Not there. [m]

Returns
-------
area
    The area. [m]
"""


def bad_law(width: Metres, height: Metres) -> Amperes:
    return width * height


bad_law.__doc__ = WRONG


def test_a_wrong_unit_is_seen() -> None:
    import sys

    breaches = unit_breaches(Public(name="bad", module=sys.modules[__name__], function=bad_law))
    assert breaches == [
        "bad: width is in 'm', the text ends with 'mm'",
        "bad: height is not described under Parameters",
        "bad: the text describes gone, which is no argument",
        "bad: returns 'A', the text ends with 'm'",
    ]


def test_a_missing_part_is_seen() -> None:
    import sys

    breaches = text_breaches(Public(name="bad", module=sys.modules[__name__], function=bad_law))
    assert len(breaches) == 6
    assert "bad names no source under References" in breaches


def test_units_are_found_inside_an_optional_and_a_tuple() -> None:
    assert units_in(Metres | None) == ["m"]
    assert units_in(tuple[Metres, Number]) == ["m", ""]
    assert units_in(float) == []


@pytest.mark.parametrize(
    ("text", "unit", "same"),
    [
        ("Far. [m]", "m", True),
        ("Far. [mm]", "m", False),
        ("Far.", "m", False),
        ("A share.", "", True),
        ("A share. [1]", "", True),
        ("A share. [m]", "", False),
        ("Between [0, 1], a share. [-]", "", True),
    ],
)
def test_same_unit(text: str, unit: str, same: bool) -> None:
    assert same_unit(text, unit) is same


def test_sections_are_split() -> None:
    parts = sections(WRONG)
    assert list(parts) == ["", "Parameters", "Returns"]
    assert entries(parts["Parameters"]) == {
        "width": "Across, above 0. More about it. [mm]",
        "gone": "Not there. [m]",
    }
