"""The wish for a generator as a form: its fields, and what is wrong with each, as the command line says."""

from collections.abc import Mapping
from dataclasses import dataclass

from gapwright.app.size import SizeWish
from gapwright.base.errors import InputRefused
from gapwright.base.quantity import quantity
from gapwright.study.sizing.sizing_wish import KINDS, Core, Microcontroller, Wish


@dataclass(frozen=True, slots=True, kw_only=True)
class WishField:
    """One field: its name as the command line has it, and what a person needs to fill it in."""

    name: str
    label: str
    group: str
    unit: str
    usual: str
    """Text that holds where nothing is typed; empty where there is none."""
    example: str
    required: bool
    help: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WishFault:
    """What is wrong with a field; `field` is empty where it is the whole wish."""

    field: str
    says: str


WANTED, AT_HAND, CORE, WORK = "What is wanted", "The controller at hand", "The core at hand", "The proof"


def _field(name: str, group: str, unit: str, help: str, **more: str) -> WishField:  # noqa: A002 - as its record
    return WishField(
        name=name,
        label=more.get("label", name.replace("-", " ")),
        group=group,
        unit=unit,
        usual=more.get("usual", ""),
        example=more.get("example", more.get("usual", "")),
        required=name in ("energy", "rate"),
        help=help,
    )


FIELDS = (
    _field(
        "energy", WANTED, "J", "Energy that each spark leaves in the gap.",
        label="spark energy", example="1 mJ",
    ),
    _field("rate", WANTED, "Hz", "Sparks a second.", label="spark rate", example="2 kHz"),
    _field(
        "voltage", WANTED, "V", "70 V, or the supply's own where nothing raises it, if left out.",
        label="open voltage", example="70 V",
    ),
    _field(
        "peak", WANTED, "A", "Any, if left out.", label="largest peak current", example="60 A",
    ),
    _field("supply", WANTED, "V", "In place of the rig's.", label="another supply", example="48 V"),
    _field(
        "supply-current", WANTED, "A", "In place of the rig's.", label="its current limit", example="5 A",
    ),
    _field("clock", AT_HAND, "Hz", "Clock of the microcontroller.", usual="16 MHz"),
    _field("counter-bits", AT_HAND, "", "Width of its counters.", usual="16"),
    _field("prescalers", AT_HAND, "", "Prescalers of its counters, between commas.", usual="1,8,64,256,1024"),
    _field("converter-bits", AT_HAND, "", "Bits of its converter.", usual="10"),
    _field("reference", AT_HAND, "V", "Full scale of its converter.", usual="5 V"),
    _field("core-factor", CORE, "H", "Inductance of one turn on the core.", usual="250 nH"),
    _field("core-area", CORE, "m²", "Cross-section of the core.", usual="97 mm²"),
    _field("core-flux", CORE, "T", "Largest flux density of the core.", usual="0.3 T"),
    _field("members", WORK, "", "Draws of the tolerances for each candidate; more take longer.", usual="64"),
    _field("seed", WORK, "", "The same seed gives the same answer.", usual="0"),
)  # fmt: skip
"""Every field, in the order of the form; the kinds of generator are chosen beside it."""


def whole_numbers(name: str, text: str) -> tuple[int, ...]:
    """Whole numbers between commas.

    Raises
    ------
    InputRefused
        If one of them is something else.
    """
    parts = [part.strip() for part in text.split(",")]
    if not all(part.isdecimal() and len(part) < 10 for part in parts):
        raise InputRefused(f"{name} must be whole numbers between commas, got {text!r}; write 1,8,64")
    return tuple(int(part) for part in parts)


def whole_number(name: str, text: str) -> int:
    """One whole number.

    Raises
    ------
    InputRefused
        If it is something else.
    """
    if not (text.strip().isdecimal() and len(text.strip()) < 16):
        raise InputRefused(f"{name} must be a whole number, got {text!r}; write 16")
    return int(text)


def teslas(text: str) -> float:
    """Flux density written as a number and T or mT.

    Raises
    ------
    InputRefused
        If it is something else.
    """
    for ending, scale in (("mT", 1e-3), ("T", 1.0)):
        number = text.strip().removesuffix(ending).strip()
        if text.strip().endswith(ending):
            try:
                return float(number) * scale
            except ValueError:
                break
    raise InputRefused(f'--core-flux must be a flux density in T, got {text!r}; write "0.3 T"')


class _Texts:
    """Texts of the form, read one by one."""

    def __init__(self, texts: Mapping[str, str]) -> None:
        usual = {field.name: field.usual for field in FIELDS}
        self._texts = {name: texts.get(name, "").strip() or usual[name] for name in usual}
        self._units = {field.name: field.unit for field in FIELDS}

    def number(self, name: str) -> float | None:
        """A quantity in SI units; None where it may be left out and is."""
        text = self._texts[name]
        return quantity(text, self._units[name], name=f"--{name}") if text else None

    def needed(self, name: str) -> float:
        """A quantity that must be given."""
        found = self.number(name)
        if found is None:
            example = next(field.example for field in FIELDS if field.name == name)
            raise InputRefused(f'--{name} must be given, got nothing; write "{example}"')
        return found

    def text(self, name: str) -> str:
        """A text."""
        return self._texts[name]


def wish_from(texts: Mapping[str, str], kinds: tuple[str, ...], *, like: str, rig: str) -> SizeWish:
    """Wish that a filled-in form means.

    Parameters
    ----------
    texts
        Texts by the names of the fields; what is left out is as usual.
    kinds
        Kinds of generator to look at; all if there are none.
    like, rig
        Name and text of the rig file whose supply, leads, electrode and liquid are kept.

    Raises
    ------
    InputRefused
        If a text breaks a rule; the refusal begins with the name of the field.
    """
    read = _Texts(texts)
    wish = Wish(
        energy_j=read.needed("energy"),
        rate_hz=read.needed("rate"),
        voltage_v=read.number("voltage"),
        peak_a=read.number("peak"),
        kinds=kinds or KINDS,
        controller=Microcontroller(
            clock_hz=read.needed("clock"),
            counter_bits=whole_number("--counter-bits", read.text("counter-bits")),
            prescalers=whole_numbers("--prescalers", read.text("prescalers")),
            converter_bits=whole_number("--converter-bits", read.text("converter-bits")),
            reference_v=read.needed("reference"),
        ),
        core=Core(
            factor_h=read.needed("core-factor"),
            area_m2=read.needed("core-area"),
            flux_t=teslas(read.text("core-flux")),
        ),
    )
    return SizeWish(
        wish=wish,
        like=like,
        text=rig,
        supply_v=read.number("supply"),
        supply_a=read.number("supply-current"),
        members=whole_number("--members", read.text("members")),
        seed=whole_number("--seed", read.text("seed")),
    )


def field_at_fault(says: str) -> str:
    """Field that a refusal is about, from the name it begins with; empty where it begins with none.

    Examples
    --------
    >>> field_at_fault("--core-flux must be above 0 T, got 0 T"), field_at_fault("no candidate")
    ('core-flux', '')
    """
    first = says.partition(" ")[0].removeprefix("--")
    return first if says.startswith("--") and first in {*(field.name for field in FIELDS), "kind"} else ""


def wish_faults(
    texts: Mapping[str, str], kinds: tuple[str, ...], *, like: str, rig: str
) -> tuple[WishFault, ...]:
    """Everything that is wrong with a form: each field by itself, then the wish as a whole."""
    filled = {"energy": "1 mJ", "rate": "1 kHz"}
    found: dict[str, str] = {}
    for field in FIELDS:
        typed = texts.get(field.name, "")
        if not typed.strip() and not field.required:
            continue
        try:
            wish_from(filled | {field.name: typed}, (), like=like, rig=rig)
        except InputRefused as fault:
            found[field.name] = str(fault)
    if not found:
        try:
            wish_from(texts, kinds, like=like, rig=rig)
        except InputRefused as fault:
            found[field_at_fault(str(fault))] = str(fault)
    return tuple(WishFault(field=name, says=says) for name, says in found.items())
