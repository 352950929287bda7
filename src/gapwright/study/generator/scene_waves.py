"""Waveforms of a scene's parts, each slice with its lowest and highest value, so that no peak is lost."""

from dataclasses import dataclass

import numpy as np

from gapwright.base.errors import InputRefused
from gapwright.base.units import Seconds
from gapwright.circuit.stages.generators import COIL, GAP, STORE, SUPPLY
from gapwright.study.generator.scenes import Scene
from gapwright.study.grounds.outcome import Curve

SLICES = 4000
MOST_SLICES = 1_000_000
SHOWN = (
    (STORE, "volts"),
    (GAP, "volts"),
    (GAP, "amperes"),
    (COIL, "amperes"),
    ("charging resistor", "amperes"),
)
"""What a picture shows, where the circuit has it."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Wave:
    """Lowest and highest value of each slice of one part's "volts" or "amperes"."""

    part: str
    quantity: str
    low: Curve
    high: Curve


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SceneWaves:
    """Waveforms over one stretch of a scene."""

    scene: str
    time_s: Curve
    """(n,) middle of each slice, from the beginning of the scene."""
    waves: tuple[Wave, ...]

    def wave(self, part: str, quantity: str) -> Wave | None:
        """One of them, or None."""
        return next((each for each in self.waves if (each.part, each.quantity) == (part, quantity)), None)


def scene_waves(
    scene: Scene, *, start: Seconds | None = None, stop: Seconds | None = None, slices: int = SLICES
) -> SceneWaves:
    """Voltage and current of every part over a stretch of a scene's first moments.

    Parameters
    ----------
    scene
        Scene that was run.
    start, stop
        Ends of the stretch; those of the scene if not given. [s]
    slices
        Slices of equal length.

    Raises
    ------
    InputRefused
        If the stretch does not lie within what was recorded.
    """
    first, last = scene.window.start, scene.window.stop
    begin, end = first if start is None else start, last if stop is None else stop
    if not first <= begin < end <= last:
        raise InputRefused(
            f"a stretch must lie between {first:g} s and {last:g} s of the scene {scene.name}, "
            f"got {begin:g} s to {end:g} s"
        )
    if not 1 <= slices <= MOST_SLICES:
        raise InputRefused(f"slices must be between 1 and {MOST_SLICES}, got {slices}")
    parts = [name for name in scene.ran.netlist.names if not name.startswith(f"{SUPPLY} ")]
    edges = np.linspace(begin, end, slices + 1)
    waves = []
    for part in parts:
        for quantity in ("volts", "amperes"):
            wave = scene.ran.waveform(quantity, part, start=begin, stop=end, slices=slices)
            waves.append(Wave(part=part, quantity=quantity, low=wave.low, high=wave.high))
    return SceneWaves(scene=scene.name, time_s=0.5 * (edges[1:] + edges[:-1]), waves=tuple(waves))
