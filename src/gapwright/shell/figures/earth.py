"""Ways through earth: where a recorder's clip may go on a rig, and the loop that a wrong place closes."""

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import FancyBboxPatch, Rectangle

from gapwright.shell.figures.canvas import bare_axes, blank_figure, styled
from gapwright.shell.palette import LIGHT
from gapwright.study.captures.earth_clip import ClipPlace, EarthClip, Shorted

Point = tuple[float, float]
PANEL = 4.35
"""Width of one drawing, in inches."""
TOP, RAIL, EARTH = 2.55, 1.05, 0.35
"""Heights of the upper line, the negative rail and earth."""
SPOTS = {
    "supply, positive terminal": (0.75, TOP),
    "supply, negative terminal": (0.75, RAIL),
    "store, positive terminal": (1.85, TOP),
    "store, negative terminal": (1.85, RAIL),
}
GAP_X = 2.95


@styled
def earth_paths(earth: EarthClip, *, workpiece_positive: bool, supply_earthed: bool) -> Figure:
    """Two drawings of the rig: the clip where it belongs, and where it shorts the store."""
    figure = blank_figure(2 * PANEL, 3.75)
    axes = bare_axes(figure)
    right = next((place for place in earth.places if place.place == earth.best), None)
    wrong = next((place for place in earth.places if Shorted.STORE in place.shorts_on_frame), None)
    for k, (place, good) in enumerate(((right, True), (wrong, False))):
        insulated = good and earth.needs_insulated_workpiece
        x = k * PANEL
        _rig(axes, x, workpiece_positive=workpiece_positive, supply_earthed=supply_earthed)
        _frame(axes, x, workpiece_positive=workpiece_positive, insulated=insulated)
        _title(axes, x, place, good=good)
        if place is not None:
            _clip(axes, x, place, workpiece_positive=workpiece_positive, good=good)
    return figure


def _title(axes: Axes, x: float, place: ClipPlace | None, *, good: bool) -> None:
    if place is None:
        text = "no place for a clip is safe here" if good else "no place shorts the store"
    else:
        text = f"right: {place.place}" if good else f"wrong: {place.place}"
    axes.text(x + 0.15, 3.5, text, color=LIGHT["metal" if good else "danger"], weight="bold", va="center")


def _line(
    axes: Axes, points: list[Point], colour: str = "ink", *, width: float = 1.4, dashed: bool = False
) -> None:
    xs, ys = zip(*points, strict=True)
    axes.plot(
        xs, ys, color=LIGHT[colour], lw=width, ls=(0, (4, 2.5)) if dashed else "-", solid_capstyle="round"
    )


def _box(axes: Axes, x: float, y: float, size: Point, text: str) -> None:
    axes.add_patch(
        FancyBboxPatch(
            (x - size[0] / 2, y - size[1] / 2),
            *size,
            boxstyle="round,pad=0.02",
            fc=LIGHT["panel"],
            ec=LIGHT["ink"],
            lw=1.2,
            zorder=3,
        )
    )
    axes.text(x, y, text, ha="center", va="center", fontsize=8.5, zorder=4)


def _rig(axes: Axes, x: float, *, workpiece_positive: bool, supply_earthed: bool) -> None:
    """Supply, charger, store, gap and frame, with the rig's own ways to earth."""
    _line(axes, [(x + 0.4, TOP), (x + GAP_X, TOP), (x + GAP_X, 2.14)])
    _line(axes, [(x + 0.4, RAIL), (x + GAP_X, RAIL), (x + GAP_X, 1.44)])
    _line(axes, [(x + 0.4, RAIL), (x + 0.4, TOP)])
    _box(axes, x + 0.4, 1.8, (0.52, 0.5), "supply")
    _box(axes, x + 1.3, TOP, (0.62, 0.26), "charger")
    _line(axes, [(x + 1.85, TOP), (x + 1.85, 1.86)])
    _line(axes, [(x + 1.85, 1.74), (x + 1.85, RAIL)])
    for height in (1.86, 1.74):
        _line(axes, [(x + 1.66, height), (x + 2.04, height)], "store", width=2.4)
    axes.text(x + 1.6, 1.8, "store", color=LIGHT["store"], fontsize=8.5, ha="right", va="center")
    axes.text(x + 0.62, TOP + 0.1, "+", fontsize=9)
    axes.text(x + 0.62, RAIL + 0.07, "−", fontsize=9)
    _gap(axes, x, workpiece_positive=workpiece_positive)
    _line(axes, [(x + 0.2, EARTH), (x + 4.1, EARTH)], "quiet", width=2.2)
    axes.text(x + 0.2, EARTH - 0.17, "protective earth", fontsize=8.5, color=LIGHT["quiet"], va="center")
    if supply_earthed:
        _line(axes, [(x + 0.4, RAIL), (x + 0.4, EARTH)], "quiet", dashed=True)


def _gap(axes: Axes, x: float, *, workpiece_positive: bool) -> None:
    """Electrode and workpiece, the workpiece on its frame."""
    upper, lower = ("workpiece", "electrode") if workpiece_positive else ("electrode", "workpiece")
    for height, name in ((2.0, upper), (1.58, lower)):
        wide = name == "workpiece"
        soft, hard = ("metal_soft", "metal") if wide else ("electrode_soft", "electrode")
        width = 0.5 if wide else 0.18
        axes.add_patch(
            Rectangle(
                (x + GAP_X - width / 2, height - 0.14), width, 0.28, fc=LIGHT[soft], ec=LIGHT[hard], zorder=3
            )
        )
        axes.text(x + GAP_X - 0.3, height, name, fontsize=8.5, ha="right", va="center")
    axes.plot([x + GAP_X], [1.79], "o", color=LIGHT["spark"], ms=4, zorder=4)


def _frame(axes: Axes, x: float, *, workpiece_positive: bool, insulated: bool) -> None:
    """The frame under the workpiece, joined to earth unless the workpiece is insulated from it."""
    height = 2.0 if workpiece_positive else 1.58
    if insulated:
        axes.text(x + 0.7, 0.7, "workpiece insulated from the frame", fontsize=8.5, va="center")
        return
    _line(axes, [(x + GAP_X + 0.25, height), (x + 3.5, height), (x + 3.5, EARTH)], "quiet", dashed=True)
    axes.text(x + 3.46, 0.5, "frame", fontsize=8.5, color=LIGHT["quiet"], ha="right", va="center")


def _spot(x: float, place: ClipPlace, *, workpiece_positive: bool) -> Point:
    """Where a clip's place is in the drawing."""
    if place.place in SPOTS:
        return x + SPOTS[place.place][0], SPOTS[place.place][1]
    is_workpiece = place.place.startswith("workpiece")
    return x + GAP_X, (TOP if is_workpiece == workpiece_positive else RAIL)


def _clip(axes: Axes, x: float, place: ClipPlace, *, workpiece_positive: bool, good: bool) -> None:
    """The recorder with its clip; where it shorts, what happens."""
    colour = "metal" if good else "danger"
    spot = _spot(x, place, workpiece_positive=workpiece_positive)
    corner = x + 3.95
    if spot[1] == TOP:
        way = [spot, (spot[0], 3.0), (corner, 3.0), (corner, EARTH)]
    else:
        side = x + 3.3
        way = [spot, (spot[0], 0.82), (side, 0.82), (side, 2.75), (corner, 2.75), (corner, EARTH)]
    _line(axes, way, colour, width=2.0)
    axes.plot([spot[0]], [spot[1]], "s", color=LIGHT[colour], ms=6, zorder=5)
    _box(axes, corner, 2.2, (0.5, 0.5), "re-\ncorder")
    if not good:
        text = "the store empties through\nearth into the clip"
        axes.text(x + 0.7, 0.7, text, color=LIGHT["danger"], fontsize=8.5, va="center")
