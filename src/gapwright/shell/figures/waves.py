"""Waveforms of a scene: voltages of store and gap, current of the spark, current of the charger."""

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from gapwright.app.wording import quantity_text, scale_for
from gapwright.circuit.stages.generators import COIL, GAP, STORE
from gapwright.shell.figures.canvas import blank_figure, quiet_grid, styled
from gapwright.shell.palette import LIGHT
from gapwright.study.generator.scene_waves import SceneWaves, Wave
from gapwright.study.generator.scenes import WORDS, SceneName
from gapwright.study.grounds.outcome import Curve

HEADROOM = 1.3
"""Top of the voltage axis over the store's highest voltage; the kick of a lead goes off it."""
CHARGERS = (COIL, "charging resistor")


def band(axes: Axes, x: Curve, wave: Wave, *, colour: str, label: str, width: float = 1.3) -> None:
    """A waveform with everything between the lowest and highest value of each slice."""
    axes.fill_between(x, wave.low, wave.high, color=colour, linewidth=0.0, alpha=0.35)
    middle = np.where(np.abs(wave.high) >= np.abs(wave.low), wave.high, wave.low)
    axes.plot(x, middle, color=colour, lw=width, label=label)


@styled
def scene_figure(shown: SceneWaves, width: float, *, title: str) -> Figure:
    """Voltages above, the spark's current below them, the charger's current at the bottom."""
    charger = next((part for part in CHARGERS if shown.wave(part, "amperes") is not None), None)
    figure = blank_figure(width, 5.2 if charger else 3.9)
    rows = figure.subplots(
        3 if charger else 2, 1, sharex=True, height_ratios=[2.0, 1.2, 1.0][: 3 if charger else 2]
    )
    scale = scale_for(float(shown.time_s[-1]), "s")
    x = shown.time_s / scale.size
    volts = {part: shown.wave(part, "volts") for part in (STORE, GAP)}
    store, gap, current = volts[STORE], volts[GAP], shown.wave(GAP, "amperes")
    if store is not None:
        band(rows[0], x, store, colour=LIGHT["store"], label="across the store", width=2.2)
        lowest, highest = min(0.0, float(store.low.min())), float(store.high.max())
        rows[0].set_ylim(1.2 * lowest - 0.02 * highest, HEADROOM * max(highest, 1e-9))
    if gap is not None:
        band(rows[0], x, gap, colour=LIGHT["spark"], label="across the gap")
    if current is not None:
        band(rows[1], x, current, colour=LIGHT["spark"], label="through the gap")
        told_peak(rows[1], x, current)
    if charger:
        wave = shown.wave(charger, "amperes")
        if wave is not None:
            band(rows[2], x, wave, colour=LIGHT["metal"], label=f"through the {charger}")
            told_peak(rows[2], x, wave)
    rows[0].set_ylabel("voltage [V]")
    rows[1].set_ylabel("gap [A]")
    if charger:
        rows[2].set_ylabel(f"{charger.removeprefix('charging ')} [A]")
    step = float(x[1] - x[0]) if x.size > 1 else 0.0
    finish(rows, scale.name, (float(x[0]) - 0.5 * step, float(x[-1]) + 0.5 * step))
    figure.suptitle(f"{title}: {WORDS[SceneName(shown.scene)]}", fontsize=10.5, x=0.01, ha="left")
    return figure


def told_peak(axes: Axes, x: Curve, wave: Wave) -> None:
    """A dot at the highest value, with the value beside it."""
    place = int(np.argmax(wave.high))
    value = float(wave.high[place])
    if value <= 0.0:
        return
    low, high = min(0.0, float(wave.low.min())), value
    axes.set_ylim(low - 0.08 * (high - low), high + 0.35 * (high - low))
    axes.plot([x[place]], [value], "o", ms=4.5, color=axes.lines[-1].get_color(), clip_on=False)
    right = x[place] > 0.5 * (x[0] + x[-1])
    axes.annotate(
        quantity_text(value, "A"),
        (float(x[place]), value),
        xytext=(-6 if right else 6, 3),
        textcoords="offset points",
        ha="right" if right else "left",
        fontsize=9,
    )


def finish(
    rows: "np.ndarray[tuple[int], np.dtype[np.object_]]", unit: str, ends: tuple[float, float]
) -> None:
    """Grid, names and the common axis of time."""
    rows[0].legend(
        frameon=False, loc="lower left", bbox_to_anchor=(0.0, 1.0), ncols=2, fontsize=9, borderaxespad=0.1
    )
    for axes in rows:
        quiet_grid(axes)
        axes.set_xlim(*ends)
    rows[-1].set_xlabel(f"time [{unit}]")
