"""Frame of drawn voltages: kicks that last for nanoseconds do not flatten everything else."""

from collections.abc import Iterable

import numpy as np

from gapwright.base.units import Number, Volts
from gapwright.circuit.stages.generators import GAP
from gapwright.study.generator.generator_alone import Meter
from gapwright.study.generator.scene_traces import SceneTraces

RARE: Number = 0.03
"""Share of the slices that a kick may fill; what lasts longer is drawn whole."""
FAR: Number = 0.5
"""How far a kick must stick out, as a share of the height of all the rest."""
ROOM: Number = 0.15
"""Room above and below the rest where a kick leaves the frame, as a share of its height."""
FLAT: Number = 0.05
"""Height of the rest over that of all below which the kicks are what there is to see."""

KICKS = (
    "When a spark goes out, the last of its current is cut off, and gap and leads kick for some nanoseconds. "
    "How high depends on stray capacitance, which no rig file tells; in this circuit only the damping across "
    "the leads holds it. Choose no part by that peak."
)
"""What the highest voltages of gap and leads are, for everybody who reads them."""

KICKING: Number = 1.3
"""Highest voltage of the gap over the open voltage from which on it is called a kick."""


def kicks_said(meters: Iterable[Meter], open_voltage: Volts) -> str:
    """`KICKS` where the gap goes far above the open voltage, else nothing."""
    highest = max((each.highest_voltage_v for each in meters if each.part == GAP), default=0.0)
    return KICKS if highest > KICKING * open_voltage else ""


def frame_of(found: SceneTraces) -> tuple[Volts, Volts] | None:
    """Voltages between which a drawing stays; None where it shows everything.

    Examples
    --------
    A store between 0 and 60 V beside a gap that kicks to 325 V in three of a thousand slices is
    framed a little above 60 V; the same gap looked at for a microsecond is drawn whole.
    """
    lows = [trace.low for trace in found.traces if trace.unit == "V"]
    highs = [trace.high for trace in found.traces if trace.unit == "V"]
    if not lows:
        return None
    least, most = (float(side) for side in (np.min(lows), np.max(highs)))
    calm_low = min(float(np.quantile(low, RARE)) for low in lows)
    calm_high = max(float(np.quantile(high, 1.0 - RARE)) for high in highs)
    height = calm_high - calm_low
    if height <= FLAT * (most - least):
        return None
    below, above = calm_low - least > FAR * height, most - calm_high > FAR * height
    if not (below or above):
        return None
    room = ROOM * height
    return (
        calm_low - room if below else least - 0.3 * room,
        calm_high + room if above else most + 0.3 * room,
    )
