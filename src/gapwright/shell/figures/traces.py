"""Chosen waveforms of a scene as small pictures above each other, one for each unit."""

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from gapwright.app.generator_frame import frame_of
from gapwright.app.generator_view import trace_name
from gapwright.app.wording import quantity_text, scale_for
from gapwright.shell.figures.canvas import blank_figure, picture_bytes, quiet_grid, styled, svg_text
from gapwright.shell.palette import LIGHT
from gapwright.study.generator.scene_traces import SceneTraces
from gapwright.study.generator.scenes import WORDS, SceneName

NAMES = {"V": "voltage", "A": "current"}
COLOURS = ("store", "spark", "metal", "wanted", "electrode", "ink", "note", "danger")
STROKES = ("-", (0, (5, 2)), (0, (1, 1.5)), (0, (5, 1, 1, 1)), (0, (8, 2)), (0, (3, 3)), (0, (2, 1)), "-.")


@styled
def traces_figure(found: SceneTraces, width: float, *, title: str) -> Figure:
    """Voltages above, currents below them; from lowest to highest of each slice is filled."""
    units = [unit for unit in NAMES if any(trace.unit == unit for trace in found.traces)]
    figure = blank_figure(width, 0.8 + 2.3 * len(units))
    rows = figure.subplots(len(units), 1, sharex=True, squeeze=False)[:, 0]
    scale = scale_for(found.stop_s - found.start_s, "s")
    x = (found.time_s - found.start_s) / scale.size
    for axes, unit in zip(rows, units, strict=True):
        own = [(k, trace) for k, trace in enumerate(found.traces) if trace.unit == unit]
        size = scale_for(max(map(abs, span_of(found, unit))), unit)
        for k, trace in own:
            low, high, colour = trace.low / size.size, trace.high / size.size, LIGHT[COLOURS[k]]
            axes.fill_between(x, low, high, color=colour, alpha=0.35, linewidth=0.0)
            middle = np.where(np.abs(high) >= np.abs(low), high, low)
            axes.plot(x, middle, color=colour, ls=STROKES[k], lw=1.3, label=trace_name(trace.asked.key))
        if unit == "V":
            framed(axes, found)
        axes.set_ylabel(f"{NAMES[unit]} [{size.name}]")
        axes.legend(frameon=False, fontsize=9, ncols=2, loc="lower left", bbox_to_anchor=(0.0, 1.0))
        quiet_grid(axes)
    begin = scale_for(found.start_s, "s")
    since = f" from {found.start_s / begin.size:.9g} {begin.name} on" if found.start_s else ""
    rows[-1].set_xlabel(f"time{since} [{scale.name}]")
    rows[-1].set_xlim(0.0, (found.stop_s - found.start_s) / scale.size)
    figure.suptitle(f"{title}: {WORDS[SceneName(found.scene)]}", fontsize=10.5, x=0.01, ha="left")
    return figure


def span_of(found: SceneTraces, unit: str) -> tuple[float, float]:
    """Lowest and highest value that is drawn of a unit: the frame, or else all."""
    frame = frame_of(found) if unit == "V" else None
    own = [trace for trace in found.traces if trace.unit == unit]
    return frame or (min(float(t.low.min()) for t in own), max(float(t.high.max()) for t in own))


def framed(axes: Axes, found: SceneTraces) -> None:
    """Keep the voltages in their frame, and say how far the kicks go that leave it."""
    frame = frame_of(found)
    if frame is None:
        return
    own = [trace for trace in found.traces if trace.unit == "V"]
    least, most = min(float(t.low.min()) for t in own), max(float(t.high.max()) for t in own)
    size = scale_for(max(map(abs, frame)), "V")
    axes.set_ylim(frame[0] / size.size, frame[1] / size.size)
    axes.set_title(
        f"kicks go on to {' and '.join(quantity_text(end, 'V') for end in beyond(frame, least, most))}",
        loc="right",
        fontsize=9,
    )


def beyond(frame: tuple[float, float], least: float, most: float) -> list[float]:
    """Ends of all that is drawn that lie outside the frame."""
    return [end for end in (least, most) if not frame[0] <= end <= frame[1]]


def traces_picture(found: SceneTraces, *, form: str, width: float, title: str) -> bytes:
    """Chosen waveforms as the content of an SVG or PNG file."""
    figure = traces_figure(found, width, title=title)
    return svg_text(figure).encode() if form == "svg" else picture_bytes(figure)
