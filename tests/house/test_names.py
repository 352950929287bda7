"""The table of names is in order, agrees with the laws and leaves out nothing that is common."""

import dataclasses
import re
from collections import Counter

from gapwright.study.grounds import outcome
from tests.house.code import LAW_FOLDERS, ROOT, public_functions, report, units_in

COMMON = 3
"""A name that so many laws use belongs in the table."""
ROW = re.compile(r"^\| `(\w+)` \| ([^|]*) \| ([^|]*) \| ([^|]+) \|$", re.MULTILINE)
SUFFIX = {
    "_m3_per_s": "m³/s",
    "_j_per_m3": "J/m³",
    "_rad": "rad",
    "_hz": "Hz",
    "_m": "m",
    "_s": "s",
    "_j": "J",
}
PRIORS = {"low", "median", "high"}
"""Ends and middle of a prior have the unit of what they belong to."""


def table() -> dict[str, set[str]]:
    """Units of every name in the table."""
    text = (ROOT / "docs" / "names.md").read_text(encoding="utf-8")
    return {name: {unit.strip() for unit in units.split(";")} for name, _, units, _ in ROW.findall(text)}


def law_arguments() -> list[tuple[str, str, str]]:
    """Every argument of a law that carries a unit: law, argument, unit."""
    return [
        (public.name, argument, units_in(hint)[0] or "1")
        for public in public_functions(*LAW_FOLDERS)
        for argument, hint in public.hints.items()
        if argument != "return" and argument not in PRIORS and units_in(hint)
    ]


def answers() -> dict[str, str]:
    """Numbers that a forecast answers, without their suffix, with its unit."""
    found = {}
    for name in ("Forecast", "Hole", "ElectrodeUse", "Finish"):
        for field in dataclasses.fields(getattr(outcome, name)):
            if field.type not in ("Banded", outcome.Banded, float):
                continue
            suffix = next((end for end in SUFFIX if field.name.endswith(end)), "")
            found[field.name.removesuffix(suffix)] = SUFFIX.get(suffix, "1")
    return found


def test_rows_are_in_order() -> None:
    names = list(table())
    assert names == sorted(names)
    assert len(names) > 50


def test_units_agree_with_the_laws() -> None:
    known = table()
    breaches = [
        f"{law}: {argument} is in {unit}, the table says {' or '.join(sorted(known[argument]))}"
        for law, argument, unit in law_arguments()
        if argument in known and unit not in known[argument]
    ]
    assert not breaches, report(breaches, "docs/names.md and the laws give a name the same unit:")


def test_common_names_are_in_the_table() -> None:
    often = Counter(argument for _, argument, _ in law_arguments())
    breaches = sorted(name for name, count in often.items() if count >= COMMON and name not in table())
    assert not breaches, report(breaches, f"a name that {COMMON} laws use stands in docs/names.md:")


def test_what_a_forecast_answers_is_in_the_table() -> None:
    known = table()
    breaches = [f"{name} in {unit}" for name, unit in answers().items() if unit not in known.get(name, set())]
    assert not breaches, report(breaches, "what a forecast answers stands in docs/names.md:")
    assert len(answers()) > 12
