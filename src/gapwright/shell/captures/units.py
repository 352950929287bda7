"""Units as instruments print them, and quantities in their remarks."""

import re

WORDS = {
    "v": "V", "volt": "V", "volts": "V",
    "a": "A", "amp": "A", "amps": "A", "ampere": "A", "amperes": "A",
    "s": "s", "sec": "s", "second": "s", "seconds": "s", "sekunden": "s", "secondes": "s",
}  # fmt: skip
PREFIXES = {
    "": 1.0,
    "p": 1e-12,
    "n": 1e-9,
    "u": 1e-6,
    "µ": 1e-6,
    "μ": 1e-6,
    "�": 1e-6,
    "m": 1e-3,
    "k": 1e3,
    "M": 1e6,
    "G": 1e9,
}
"""Prefixes; the replacement mark stands for a micro sign that was lost on the way."""

NUMBER = r"[+-]?(?:\d+[.,]?\d*|[.,]\d+)(?:[eE][+-]?\d+)?"
_SYMBOL = re.compile(r"([pnuµμ�mkMG]?)([AVs])")
_IN_NAME = re.compile(r"^(.*?)\s*(?:\(([^()]{1,12})\)|\[([^\[\]]{1,12})\]|/\s*(\S{1,4})|\bin (\S{1,4}))\s*$")
_AMOUNT = re.compile(rf"^\s*({NUMBER})\s*([^\s\d].*)?$")
_RATE = re.compile(r"(?i)^(?:sa|s|samples?)/s(?:ec)?$|^hz$|^sps$")


def unit_of(text: str) -> tuple[str, float] | None:
    """SI unit and factor of a printed unit of voltage, current or time; None if it is none."""
    bare = text.strip().strip("()[]\"' ").strip()
    if bare.lower() in WORDS and bare not in {"S", "v"}:
        return WORDS[bare.lower()], 1.0
    found = _SYMBOL.fullmatch(bare)
    return (found.group(2), PREFIXES[found.group(1)]) if found else None


def name_and_unit(text: str) -> tuple[str, tuple[str, float] | None]:
    """Split ``CH1 (mV)`` into its name and its unit."""
    bare = text.strip().strip("\"'").strip()
    found = _IN_NAME.match(bare)
    if found:
        unit = unit_of(next(group for group in found.groups()[1:] if group))
        if unit is not None:
            return found.group(1).strip(), unit
    return bare, None


def amount(text: str, unit: str = "") -> tuple[float, str] | None:
    """Value in SI and base unit (``s`` or ``Hz``) of a remark such as ``1 MSa/s`` or ``100 ns``."""
    found = _AMOUNT.match(text.strip().strip("\"'"))
    if not found:
        return None
    number = float(found.group(1).replace(",", "."))
    symbol = (found.group(2) or unit).strip().strip("()[]")
    if not symbol:
        return number, ""
    known = unit_of(symbol)
    if known and known[0] == "s":
        return number * known[1], "s"
    prefix = symbol[0] if symbol[0] in PREFIXES and not _RATE.match(symbol) else ""
    if _RATE.match(symbol[len(prefix) :]):
        return number * PREFIXES[prefix], "Hz"
    return None
