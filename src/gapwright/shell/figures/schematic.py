"""Schematic of a circuit as SVG, drawn from its netlist: any kind of generator, a user's own included."""

from collections.abc import Mapping
from html import escape

from gapwright.base.quantity import printed_quantity
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
from gapwright.circuit.network.netlist import Netlist
from gapwright.shell.figures.schematic_layout import Layout, Placed, laid_out
from gapwright.shell.figures.schematic_symbols import LENGTH, symbol

LETTER, SMALL = 12.0, 10.5
"""Sizes of names and of values. [px]"""
HOT = "var(--spark, #a63509)"
"""Colour by which a part that bears much is shaded."""
STYLE = (
    ".w{stroke:currentColor;stroke-width:1.6;fill:none;stroke-linecap:round;stroke-linejoin:round}"
    f".n{{font:600 {LETTER}px system-ui,sans-serif;fill:currentColor}}"
    f".v{{font:{SMALL}px system-ui,sans-serif;fill:currentColor;opacity:.78}}"
    f".l{{font:600 {SMALL}px system-ui,sans-serif;fill:currentColor}}"
    f".k{{font:italic {SMALL}px system-ui,sans-serif;fill:currentColor;opacity:.6}}"
)


def schematic(
    netlist: Netlist,
    *,
    values: Mapping[str, str] | None = None,
    shade: Mapping[str, float] | None = None,
    title: str = "Schematic of the generator",
) -> str:
    """Drawing of a circuit.

    Parameters
    ----------
    netlist
        The circuit.
    values
        One short text for a part, such as its watts; drawn below its value.
    shade
        How much a part bears, from 0 to 1; it is shaded by that.
    title
        What the drawing is called for those who hear it read.

    Returns
    -------
    svg
        Text of the drawing; each part is a group with its name in ``data-part``.
    """
    layout = laid_out(netlist)
    body = [_wires(layout), _ground(layout), *(_node(n, x, y) for n, (x, y) in layout.nodes.items())]
    for placed in layout.parts:
        name = placed.part.name
        body.append(_part(placed, (values or {}).get(name, ""), (shade or {}).get(name, 0.0)))
    body += _couplings(netlist, layout)
    w, h = layout.width, layout.height
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {w:g} {h:g}" width="{w:g}" height="{h:g}" '
        f'role="img" aria-label="{escape(title)}"><style>{STYLE}</style><title>{escape(title)}</title>'
        f"{''.join(body)}</svg>\n"
    )


RATED: dict[type, tuple[str, str]] = {
    Resistor: ("ohms", "Ω"),
    Capacitor: ("farads", "F"),
    Inductor: ("henries", "H"),
    VoltageSource: ("volts", "V"),
    CurrentSource: ("amperes", "A"),
    Switch: ("on_ohms", "Ω"),
    Diode: ("drop_volts", "V"),
    Gap: ("arc_volts", "V"),
}
"""What is written beside each kind of part, and its unit."""


def rating_text(part: Element) -> str:
    """Value of a part in one short text."""
    name, unit = RATED[type(part)]
    text = printed_quantity(getattr(part, name), unit)
    return f"burns at {text}" if isinstance(part, Gap) else text


def _wires(layout: Layout) -> str:
    lines = "".join(f'<path class="w" d="M{a:g} {b:g}L{c:g} {d:g}"/>' for a, b, c, d in layout.wires)
    dots = "".join(f'<circle cx="{x:g}" cy="{y:g}" r="2.6" fill="currentColor"/>' for x, y in layout.dots)
    return lines + dots


def _ground(layout: Layout) -> str:
    upright = [placed.x0 for placed in layout.parts if placed.is_upright]
    if not upright:
        return ""
    x, y = min(upright), layout.ground
    return f'<path class="w" d="M{x:g} {y:g}v10m-10 0h20m-16 5h12m-8 5h4"/>'


def _node(name: str, x: float, y: float) -> str:
    return f'<text class="k" x="{x:g}" y="{y - 6:g}" text-anchor="middle">{escape(name)}</text>'


def _part(placed: Placed, value: str, shade: float) -> str:
    x, y = placed.middle
    if placed.is_upright:
        turn = 90.0 if placed.y1 > placed.y0 else -90.0
    else:
        turn = 0.0 if placed.x1 > placed.x0 else 180.0
    half = 0.5 * LENGTH
    leads = (
        f'<path class="w" d="M{placed.x0:g} {placed.y0:g}L{_toward(placed, half)}'
        f'M{placed.x1:g} {placed.y1:g}L{_toward(placed, -half)}"/>'
    )
    warm = _warmth(placed, x, y, shade) if shade > 0.0 else ""
    drawn = (
        f'<g class="w" transform="translate({x:g} {y:g}) rotate({turn:g}) translate({-half:g} 0)">'
        f"{symbol(placed.part)}</g>"
    )
    text = _texts(placed, x, y, value)
    return f'<g data-part="{escape(placed.part.name, quote=True)}">{warm}{leads}{drawn}{text}</g>'


def _warmth(placed: Placed, x: float, y: float, shade: float) -> str:
    """Patch behind a symbol, the stronger the more its part bears."""
    w, h = (32.0, 52.0) if placed.is_upright else (52.0, 32.0)
    return (
        f'<rect x="{x - 0.5 * w:g}" y="{y - 0.5 * h:g}" width="{w:g}" height="{h:g}" rx="9" fill="{HOT}" '
        f'fill-opacity="{0.06 + 0.6 * min(shade, 1.0):.3f}"/>'
    )


def _toward(placed: Placed, distance: float) -> str:
    """Point at a distance before (or behind) the middle of a part."""
    x, y = placed.middle
    length = abs(placed.x1 - placed.x0) + abs(placed.y1 - placed.y0)
    dx, dy = (placed.x1 - placed.x0) / length, (placed.y1 - placed.y0) / length
    return f"{x - distance * dx:g} {y - distance * dy:g}"


def _texts(placed: Placed, x: float, y: float, value: str) -> str:
    lines = [("n", placed.part.name), ("v", rating_text(placed.part))] + ([("l", value)] if value else [])
    if placed.is_upright:
        first = y - 6.0 * (len(lines) - 1) + 4.0
        beside = x + (26.0 if isinstance(placed.part, Switch) else 19.0)
        return "".join(
            f'<text class="{kind}" x="{beside:g}" y="{first + 14 * k:g}">{escape(text)}</text>'
            for k, (kind, text) in enumerate(lines)
        )
    rows = [("n", placed.part.name, y - 21.0), ("v", rating_text(placed.part), y + 24.0)]
    rows += [("l", value, y + 37.0)] if value else []
    return "".join(
        f'<text class="{kind}" x="{x:g}" y="{at:g}" text-anchor="middle">{escape(text)}</text>'
        for kind, text, at in rows
    )


def _couplings(netlist: Netlist, layout: Layout) -> list[str]:
    """Dashed lines between coils on one core."""
    place = {p.part.name: p.middle for p in layout.parts}
    lines = []
    for coupling in netlist.couplings:
        (a, b), (c, d) = place[coupling.first], place[coupling.second]
        low = layout.ground + 16.0
        way = f"M{a:g} {b + 12:g}V{low:g}H{c:g}V{d + 30:g}"
        lines.append(
            f'<path class="w" stroke-dasharray="3 5" opacity=".6" d="{way}"/>'
            f'<text class="k" x="{0.5 * (a + c):g}" y="{low + 13:g}" text-anchor="middle">'
            f"one core, k = {coupling.coefficient:g}</text>"
        )
    return lines
