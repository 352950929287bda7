"""Sections through hole and electrode at chosen depths, side by side and to one scale."""

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from gapwright.app.wording import quantity_text
from gapwright.shell.figures.canvas import blank_figure, styled
from gapwright.shell.palette import LIGHT
from gapwright.study.drilling.shapes_at_depth import Outline, Shape, Shapes

ACROSS = 4
"""Sections in a row on a wide figure."""
MARGIN = 1.35
"""Half width of a section over the widest radius."""


def mirrored(outline: Outline) -> tuple[np.ndarray, np.ndarray]:
    """Both halves of an outline, from left to right, in millimetres."""
    r, z = 1e3 * np.array(outline.radius_m), 1e3 * np.array(outline.depth_m)
    return np.concatenate([-r[::-1], r]), np.concatenate([z[::-1], z])


def add_section(axes: Axes, shape: Shape, thickness: float, reach: float, above: float) -> None:
    """One section: workpiece with its hole, and the electrode in it."""
    across, down = mirrored(shape.hole)
    down = np.minimum(down, thickness)
    sides = np.array([reach, reach, -reach, -reach])
    ends = np.array([0.0, thickness, thickness, 0.0])
    axes.fill(np.concatenate([across, sides]), np.concatenate([down, ends]), color=LIGHT["metal_soft"], lw=0)
    wall = np.where(down < 0.9995 * thickness, down, np.nan)
    axes.plot(across, wall, color=LIGHT["metal"], lw=1.1)
    for sign in (-1.0, 1.0):
        add_half_electrode(axes, shape.electrode, sign, above)
    axes.set_xlim(-reach, reach)
    axes.set_aspect("equal")
    axes.tick_params(length=0)
    for side in ("left", "bottom"):
        axes.spines[side].set_visible(False)


def add_half_electrode(axes: Axes, outline: Outline, sign: float, above: float) -> None:
    """One half of the electrode, cut off above the paper."""
    r, z = sign * 1e3 * np.array(outline.radius_m), np.maximum(1e3 * np.array(outline.depth_m), above)
    axes.fill(np.r_[r[0], r, r[-1]], np.r_[above, z, above], color=LIGHT["electrode_soft"], lw=0)
    edge = slice(1 if outline.radius_m[0] <= 0.0 else 0, None)
    axes.plot(r[edge], np.where(z > above, z, np.nan)[edge], color=LIGHT["electrode"], lw=1.1)


def headline(shape: Shape) -> str:
    """Depth and time of a section."""
    what = "end" if shape.asked_depth_m is None else quantity_text(shape.front_m, "mm", digits=3)
    return f"{what}\n{quantity_text(shape.time_s, 's')}"


@styled
def sections_at_depths(shapes: Shapes, width: float) -> Figure:
    """Every section that was kept, in rows, all lengths to the same scale."""
    count = len(shapes.shapes)
    across = min(count, ACROSS if width > 6 else 2)
    rows = -(-count // across)
    radii = [max(shape.hole.radius_m) if front(shape) else 0.0 for shape in shapes.shapes]
    widest = max(shapes.new_electrode_radius_m, 0.55 * max(radii))
    reach, thickness = 1e3 * MARGIN * widest, 1e3 * shapes.thickness_m
    lowest = max(thickness, *(1e3 * max(shape.electrode.depth_m) for shape in shapes.shapes))
    above = -0.35 * max(reach, 0.5 * thickness)
    height = width / across * min((lowest - above) / (2.0 * reach), 2.2) + 0.55
    figure = blank_figure(width, rows * height + 0.3)
    grid = figure.subplots(rows, across, squeeze=False, sharex=True, sharey=True)
    for place, axes in enumerate(grid.flat):
        if place >= count:
            axes.set_axis_off()
            continue
        add_section(axes, shapes.shapes[place], thickness, reach, above)
        axes.set_title(headline(shapes.shapes[place]), fontsize=9.5)
    grid[0, 0].set_ylim(1.03 * lowest, above)
    figure.supxlabel("radius [mm]", fontsize=10)
    figure.supylabel("depth [mm]", fontsize=10)
    return figure


def front(shape: Shape) -> bool:
    """Whether a hole has begun."""
    return shape.front_m > 0.0
