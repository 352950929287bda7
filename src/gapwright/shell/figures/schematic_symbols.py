"""Symbols of parts, each drawn along a line of 48 px from its start at 0 to its end."""

from gapwright.circuit.network.elements import (
    Capacitor,
    CurrentSource,
    Diode,
    Element,
    Gap,
    Inductor,
    Resistor,
    Switch,
    VoltageSource,
)

LENGTH = 48.0
"""Length of every symbol. [px]"""
SOLID = ' fill="currentColor"'


def _line(*points: float) -> str:
    pairs = " ".join(f"{points[k]:g},{points[k + 1]:g}" for k in range(0, len(points), 2))
    return f'<polyline points="{pairs}"/>'


def _shape(path: str, extra: str = "") -> str:
    return f'<path d="{path}"{extra}/>'


def symbol(part: Element) -> str:
    """Lines of a part's symbol, to be turned and moved to its place."""
    if isinstance(part, Inductor):
        return _inductor(part)
    return PLAIN[type(part)]


def _circle() -> str:
    return '<circle cx="24" cy="0" r="14"/>'


def _inductor(part: Inductor) -> str:
    bumps = "M0 0H4" + "".join("a5 5 0 0 1 10 0" for _ in range(4)) + "H48"
    core = _line(5.0, -9.0, 43.0, -9.0) if part.pieces else ""
    return _shape(bumps) + core


def _switch() -> str:
    """A transistor as what it does: a contact, with the gate that works it."""
    return _shape("M0 0H12M12 0L35 -11M36 0H48M24 -6V-17M18 -17H30") + '<circle cx="36" cy="0" r="2"/>'


def _gap() -> str:
    """Electrode and workpiece, and the spark between them."""
    return (
        _shape("M0 0H8M40 0H48")
        + _shape("M8 -7H14L19 0L14 7H8ZM34 -13H40V13H34Z", SOLID)
        + _shape("M21 -1L25 -5L26 3L32 -2")
    )


PLAIN: dict[type, str] = {
    Resistor: _shape("M0 0H6M6 -7H42V7H6ZM42 0H48"),
    Capacitor: _shape("M0 0H21M21 -13V13M27 -13V13M27 0H48"),
    Diode: _shape("M0 0H14M34 0H48M34 -10V10") + _shape("M14 -10V10L34 0Z", SOLID),
    Switch: _switch(),
    VoltageSource: _shape("M0 0H10M38 0H48M17 -4V4M13 0H21M31 -4V4") + _circle(),
    CurrentSource: _shape("M0 0H10M38 0H48M15 0H31") + _shape("M29 -4L35 0L29 4Z", SOLID) + _circle(),
    Gap: _gap(),
}
"""Symbols that depend on the kind of part alone."""
