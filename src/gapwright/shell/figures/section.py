"""Section through hole and electrode, drawn to scale with its measures."""

from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from gapwright.app.wording import banded_text, quantity_text
from gapwright.shell.figures.canvas import bare_axes, blank_figure, styled
from gapwright.shell.palette import LIGHT
from gapwright.study.grounds.outcome import Banded, Curve, Forecast, Pictures

SCALE_BARS = (5e-3, 2e-3, 1e-3, 0.5e-3, 0.2e-3, 0.1e-3, 0.05e-3)
"""Lengths that a scale bar may stand for, in metres."""

THROUGH = 0.9995
"""Share of the thickness from which a point of the hole counts as open at the exit face."""

HEIGHT = 4.5
LEAST_HEIGHT = 2.1
NOTE_ROOM = 0.62
TOP_ROOM = 0.24
FOOT_ROOM = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """Where the drawing lies on the paper: inches per metre, its middle, and the entry face."""

    inches: float
    middle: float
    face: float
    top: float
    lowest: float
    width: float
    height: float

    @property
    def reach(self) -> float:
        """Radius at which the drawing leaves the paper."""
        return (0.5 * self.width + 0.1) / self.inches

    def x(self, radius: float) -> float:
        """Place of a radius to the right of the axis."""
        return self.middle + self.inches * radius

    def y(self, depth: float) -> float:
        """Place of a depth below the entry face."""
        return self.face - self.inches * depth

    def placed(self, radius: Curve, depth: Curve) -> tuple[Curve, Curve]:
        """Places of the points of an outline."""
        return self.middle + self.inches * radius, self.face - self.inches * depth


def sheet_for(pictures: Pictures, width: float) -> Sheet:
    """Scale at which hole and electrode fill the height of the paper."""
    worn = max(pictures.thickness_m, float(np.max(pictures.electrode_depth_m)))
    lowest = min(float(np.max(pictures.new_electrode_depth_m)), worn + 2.0 * pictures.wanted_diameter_m)
    above = max(0.45 * pictures.thickness_m, 0.6 * pictures.wanted_diameter_m)
    inches = (HEIGHT - TOP_ROOM - FOOT_ROOM) / (above + max(worn, lowest))
    widest = float(max(np.max(pictures.hole_radius_m), np.max(pictures.new_electrode_radius_m)))
    inches = min(inches, 0.3 * width / (2.0 * widest))
    above = max(above, NOTE_ROOM / inches)
    height = max(LEAST_HEIGHT, TOP_ROOM + FOOT_ROOM + inches * (above + max(worn, lowest)))
    return Sheet(
        inches=inches,
        middle=width / 2.0,
        face=height - TOP_ROOM - inches * above,
        top=-above,
        lowest=lowest,
        width=width,
        height=height,
    )


def add_electrode(axes: Axes, sheet: Sheet, outline: tuple[Curve, Curve]) -> None:
    """Worn electrode: its right-hand outline filled, and its mirror image."""
    for side in (1.0, -1.0):
        x, y = sheet.placed(side * outline[0], outline[1])
        axes.fill(x, y, facecolor=LIGHT["electrode_soft"], edgecolor="none")
        edge = slice(off_axis(outline), None)
        axes.plot(np.append(x[edge], x[0]), np.append(y[edge], y[0]), color=LIGHT["electrode"], lw=1.2)


def off_axis(outline: tuple[Curve, Curve]) -> int:
    """Where the drawn edge of an outline begins: a rod has no edge along its axis."""
    return 1 if outline[0][0] <= 0.0 else 0


def opening(pictures: Pictures) -> int | None:
    """Place of the outermost point of the opening at the exit face; None if the hole ends inside."""
    open_at = np.flatnonzero(pictures.hole_depth_m >= THROUGH * pictures.thickness_m)
    return int(open_at[-1]) if open_at.size else None


def add_workpiece(axes: Axes, sheet: Sheet, pictures: Pictures) -> None:
    """Workpiece with its hole, and the core that a tube leaves until the hole opens: then it falls."""
    thickness, reach = pictures.thickness_m, sheet.reach
    radius, depth = pictures.hole_radius_m, np.minimum(pictures.hole_depth_m, thickness)
    last = opening(pictures)
    if last is not None:
        depth[: last + 1] = thickness
    across = np.concatenate([-radius[::-1], radius])
    down = np.concatenate([depth[::-1], depth])
    ends_x, ends_y = np.array([reach, reach, -reach, -reach]), np.array([0.0, thickness, thickness, 0.0])
    fill = sheet.placed(np.concatenate([across, ends_x]), np.concatenate([down, ends_y]))
    axes.fill(*fill, facecolor=LIGHT["metal_soft"], edgecolor="none")
    edge = {"color": LIGHT["metal"], "lw": 1.3}
    wall = np.where(down < THROUGH * thickness, down, np.nan)
    axes.plot(*sheet.placed(across, wall), **edge)  # type: ignore[arg-type]
    start = 0.0 if last is None else float(radius[last])
    for side in (1.0, -1.0):
        axes.plot([sheet.x(side * float(radius[-1])), sheet.x(side * reach)], [sheet.y(0.0)] * 2, **edge)  # type: ignore[arg-type]
        run = [sheet.x(side * start), sheet.x(side * reach)]
        axes.plot(run, [sheet.y(thickness)] * 2, **edge)  # type: ignore[arg-type]


def rod_outline(radius: Curve, depth: Curve, top: float) -> tuple[Curve, Curve]:
    """Outline of an electrode's right half: its end, and its sides up to `top`."""
    ends = np.concatenate([[radius[0]], radius, [radius[-1]]])
    return ends, np.concatenate([[top], np.maximum(depth, top), [top]])


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """A remark beside the drawing: what it points at, its height, its lines and its colour."""

    at: tuple[float, float]
    height: float
    lines: tuple[str, ...]
    colour: str


def measure_lines(name: str, value: Banded) -> tuple[str, ...]:
    """A measure in two lines: the middle, and the band under it."""
    text = banded_text(value, "mm", missing="")
    return f"{name} {text.middle or 'unknown'}", text.band


def notes_for(sheet: Sheet, forecast: Forecast, pictures: Pictures) -> list[Note]:
    """Wanted diameter, entry, exit and wear, each named where it is seen."""
    half, thickness = pictures.wanted_diameter_m / 2.0, pictures.thickness_m
    worn, new = float(np.max(pictures.electrode_depth_m)), float(np.max(pictures.new_electrode_depth_m))
    entry, end = sheet.y(0.0), sheet.y(thickness)
    hole = forecast.hole
    mouth = hole.entry_diameter_m.median
    mouth = half if mouth is None else 0.5 * mouth
    wanted = (f"wanted {quantity_text(pictures.wanted_diameter_m, 'm', digits=2)}",)
    entry_lines = measure_lines("entry", hole.entry_diameter_m)
    notes = [
        Note(at=(sheet.x(half), entry + 0.55), height=entry + 0.66, lines=wanted, colour="wanted"),
        Note(at=(sheet.x(mouth), entry), height=entry + 0.3, lines=entry_lines, colour="ink"),
    ]
    last = opening(pictures)
    if last is not None:
        radius = float(pictures.hole_radius_m[last])
        lines = measure_lines("exit", hole.exit_diameter_m)
        notes.append(Note(at=(sheet.x(radius), end), height=end - 0.16, lines=lines, colour="ink"))
    if new - worn > 0.02 * thickness:
        wear = banded_text(forecast.electrode.wear_length_m, "mm", missing="")
        middle = sheet.y(0.5 * (worn + min(new, sheet.lowest)))
        at = (sheet.x(float(np.max(pictures.new_electrode_radius_m))), middle)
        lines = ("worn off", wear.middle, wear.band)
        notes.append(Note(at=at, height=min(middle, end - 0.6), lines=lines, colour="electrode"))
    return notes


def add_note(axes: Axes, note: Note, side: float) -> None:
    """Print a note beginning at `side`, with a thin line to what it speaks of."""
    colour = LIGHT[note.colour]
    axes.plot([note.at[0], side - 0.06], [note.at[1], note.height], color=colour, lw=0.8)
    axes.text(
        side, note.height + 0.07, note.lines[0], fontsize=9.5, color=colour, va="top", fontweight="bold"
    )
    for row, text in enumerate(note.lines[1:]):
        low = note.height - 0.09 - 0.155 * row
        axes.text(side, low, text, fontsize=9.0, color=LIGHT["quiet"], va="top")


def add_names(axes: Axes, sheet: Sheet, pictures: Pictures) -> None:
    """Names of the two bodies, the thickness, and a bar to measure by."""
    entry, end = sheet.y(0.0), sheet.y(pictures.thickness_m)
    bold = {"va": "center", "fontweight": "bold"}
    axes.text(0.14, entry + 0.14, "workpiece", color=LIGHT["metal"], **bold)  # type: ignore[arg-type]
    arrow = {"arrowstyle": "<->", "color": LIGHT["ink"], "lw": 0.9, "shrinkA": 0, "shrinkB": 0}
    axes.annotate("", (0.22, entry), (0.22, end), arrowprops=arrow)
    thickness = quantity_text(pictures.thickness_m, "m", digits=2)
    axes.text(0.3, (entry + end) / 2.0, thickness, va="center", fontsize=9.5)
    left = sheet.x(-float(np.max(pictures.electrode_radius_m))) - 0.1
    name = axes.text(left, sheet.y(sheet.top) - 0.12, "electrode", color=LIGHT["electrode"], **bold)  # type: ignore[arg-type]
    name.set_horizontalalignment("right")
    length = next((bar for bar in SCALE_BARS if bar * sheet.inches <= 0.24 * sheet.width), SCALE_BARS[-1])
    ends = [0.15, 0.15 + length * sheet.inches]
    axes.plot(ends, [0.16, 0.16], color=LIGHT["ink"], lw=2.4, solid_capstyle="butt")
    words = f"{quantity_text(length, 'm', digits=1)}, to scale both ways"
    axes.text(0.15, 0.22, words, fontsize=9, va="bottom")


def add_outlines(axes: Axes, sheet: Sheet, pictures: Pictures) -> None:
    """The new electrode, dotted and cut off where it leaves the paper, and the wanted diameter."""
    radius, depth = pictures.new_electrode_radius_m, pictures.new_electrode_depth_m
    new = [rod_outline(radius, depth, sheet.top)]
    if float(np.max(depth)) > sheet.lowest:
        run = np.array([sheet.top, sheet.lowest])
        new = [(np.full(2, float(edge)), run) for edge in (radius[0], radius[-1])]
    half = pictures.wanted_diameter_m / 2.0
    ends = [sheet.y(0.0) + 0.6, sheet.y(pictures.thickness_m) - 0.12]
    for side in (1.0, -1.0):
        for outline in new:
            x, y = sheet.placed(side * outline[0], outline[1])
            edge = slice(off_axis(outline), None)
            axes.plot(x[edge], y[edge], color=LIGHT["electrode"], lw=1.0, ls=(0, (2, 2)))
        axes.plot([sheet.x(side * half)] * 2, ends, color=LIGHT["wanted"], lw=1.1, ls=(0, (6, 3)))


@styled
def section_to_scale(forecast: Forecast, pictures: Pictures, width: float) -> Figure:
    """Hole and electrode cut through the axis, both halves, every length to the same scale."""
    sheet = sheet_for(pictures, width)
    figure = blank_figure(width, sheet.height)
    axes = bare_axes(figure)
    add_workpiece(axes, sheet, pictures)
    add_electrode(
        axes, sheet, rod_outline(pictures.electrode_radius_m, pictures.electrode_depth_m, sheet.top)
    )
    add_outlines(axes, sheet, pictures)
    side = min(width - 1.32, sheet.middle + sheet.inches * pictures.wanted_diameter_m / 2.0 + 1.3)
    for note in notes_for(sheet, forecast, pictures):
        add_note(axes, note, side)
    add_names(axes, sheet, pictures)
    return figure
