"""Our own code, as the house tests see it: modules, public functions, docstrings, units."""

import importlib
import inspect
import re
import typing
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import ModuleType
from typing import Any

from gapwright.base.units import Unit

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "src" / "gapwright"
LAW_FOLDERS = ("circuit", "gap", "thermal", "hole", "motion", "capture", "picture", "stats")
"""Families whose public functions state what is true of a subject."""
PURE_FOLDERS = ("base", "facts", "rig", *LAW_FOLDERS, "journal", "link", "study")

SECTION = re.compile(r"^(\w[\w ]*)\n-{3,}$", re.MULTILINE)
ENTRY = re.compile(r"^(\*{0,2}\w+(?:, \*{0,2}\w+)*)(?: :.*)?$")
UNIT_AT_END = re.compile(r"\[([^\[\]]*)\]\.?$")
PURE_NUMBER = ("", "-", "1")
"""How a text may mark a number without a unit."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Public:
    """A public function of ours and where it stands."""

    name: str
    module: ModuleType
    function: Callable[..., Any]

    @property
    def hints(self) -> dict[str, Any]:
        """Annotations with their notes, by argument name and ``return``."""
        return typing.get_type_hints(self.function, include_extras=True)

    @property
    def arguments(self) -> list[str]:
        """Names of the arguments, in order."""
        return list(inspect.signature(self.function).parameters)

    @property
    def sections(self) -> dict[str, str]:
        """Docstring by section; the part before the first is under an empty name."""
        return sections(inspect.getdoc(self.function) or "")


def sections(text: str) -> dict[str, str]:
    """Split a numpy docstring into its sections."""
    parts = SECTION.split(text)
    return {"": parts[0].strip()} | {
        name: body.strip("\n") for name, body in zip(parts[1::2], parts[2::2], strict=True)
    }


def entries(section: str) -> dict[str, str]:
    """Described names of a Parameters or Returns section, with their descriptions joined to a line."""
    found: dict[str, str] = {}
    names: list[str] = []
    for line in section.splitlines():
        head = ENTRY.match(line)
        if head and not line.startswith(" "):
            names = [name.lstrip("*") for name in head.group(1).split(", ")]
            found |= dict.fromkeys(names, "")
        elif line.strip():
            for name in names:
                found[name] = f"{found[name]} {line.strip()}".strip()
    return found


def units_in(annotation: Any) -> list[str]:
    """Units noted in an annotation, also inside an optional value or a tuple."""
    if typing.get_origin(annotation) is typing.Annotated:
        noted = [note.symbol for note in annotation.__metadata__ if isinstance(note, Unit)]
        return noted or units_in(annotation.__origin__)
    return [unit for part in typing.get_args(annotation) for unit in units_in(part)]


def unit_in_text(text: str) -> str | None:
    """Return the unit at the end of a description, or None where there is none."""
    found = UNIT_AT_END.search(text.strip())
    return found.group(1) if found else None


def same_unit(text: str, unit: str) -> bool:
    """Whether a description ends with the unit; a pure number may carry none."""
    said = unit_in_text(text)
    return said == unit or (unit == "" and (said is None or said in PURE_NUMBER))


def files(*folders: str) -> list[Path]:
    """Python files under folders of the project."""
    return sorted(path for folder in folders for path in (ROOT / folder).rglob("*.py"))


def _module_names(folders: tuple[str, ...]) -> Iterator[str]:
    for folder in folders:
        for path in sorted((PACKAGE / folder).rglob("*.py")):
            place = path.relative_to(PACKAGE.parent).with_suffix("")
            parts = place.parts[:-1] if place.name == "__init__" else place.parts
            if not any(part.startswith("_") for part in parts):
                yield ".".join(parts)


@cache
def public_functions(*folders: str) -> tuple[Public, ...]:
    """Public functions written in public modules of our folders."""
    found = []
    for module in map(importlib.import_module, _module_names(folders)):
        for name, member in vars(module).items():
            function = getattr(member, "py_func", member)
            if name.startswith("_") or not inspect.isfunction(function):
                continue
            if function.__module__ == module.__name__:
                found.append(Public(name=f"{module.__name__}.{name}", module=module, function=function))
    return tuple(found)


def is_law(public: Public) -> bool:
    """Whether a function gives a physical quantity: its return annotation carries a unit."""
    return bool(units_in(public.hints.get("return")))


def laws() -> tuple[Public, ...]:
    """Public functions of the families that give a physical quantity."""
    return tuple(public for public in public_functions(*LAW_FOLDERS) if is_law(public))


def report(breaches: list[str], rule: str) -> str:
    """One clear line for each breach, under the rule it breaks."""
    return "\n".join([rule, *(f"  {breach}" for breach in breaches)])
