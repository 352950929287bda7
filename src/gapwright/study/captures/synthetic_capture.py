"""Captures of our own simulation: a generator fires in the circuit engine, and a recorder looks on.

The truth comes from the engine's own meters of each discharge, not from the
samples, so a reading of such a capture can be scored.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gapwright.base.checks import require_positive
from gapwright.base.errors import InputRefused
from gapwright.base.units import Hertz, Seconds, Volts
from gapwright.capture.classify import CLASS_NAMES, NORMAL_FROM, PARTIAL_FROM
from gapwright.capture.truth import TRUE_SPARK, Truth
from gapwright.circuit.control.control import Control
from gapwright.circuit.control.ignition import Ignition
from gapwright.circuit.engine.arrays import Start, Window
from gapwright.circuit.engine.engine import run
from gapwright.circuit.engine.run import Run
from gapwright.circuit.network.netlist import Netlist

MOST_SAMPLES = 20_000_000
"""Samples of one synthetic capture; its waveforms are held in memory."""
STRETCH = 200_000
"""Samples that are drawn at a time."""
NORMAL, PARTIAL, TRANSIENT = (CLASS_NAMES.index(name) for name in ("normal", "partial", "transient arc"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Scenery:
    """What is looked at, for how long and how fast."""

    duration: Seconds
    rate: Hertz
    """Of sampling."""
    open_voltage: Volts
    """Where charging ends; with the burning voltage it gives the true classes."""

    def __post_init__(self) -> None:
        """Refuse a stretch that has no samples or too many."""
        require_positive("duration", self.duration, "s")
        require_positive("rate", self.rate, "Hz")
        require_positive("open_voltage", self.open_voltage, "V")
        if self.duration * self.rate > MOST_SAMPLES:
            raise InputRefused(
                f"a synthetic capture must have at most {MOST_SAMPLES} samples, "
                f"got {self.duration * self.rate:.3g}; give a shorter duration or a lower rate"
            )


def generator_truth(
    netlist: Netlist, control: Control, *, ignition: Ignition, scenery: Scenery, start: Start | None = None
) -> Truth:
    """True capture of a generator that fires in the circuit engine.

    Parameters
    ----------
    netlist
        The circuit, with a gap.
    control
        What works its switch.
    ignition
        What ignites the gap.
    scenery
        How long and how fast it is recorded.
    start
        State to start from; everything at zero if not given.

    Raises
    ------
    InputRefused
        If the circuit has no gap, or the capture would be too long.
    """
    gap = netlist.gap
    if gap is None:
        raise InputRefused("the circuit must have a gap to be captured, got one without; add a gap")
    window = Window(start=0.0, stop=scenery.duration)
    ran = run(netlist, control, scenery.duration, ignition=ignition, record=window, initial=start)
    return Truth(
        voltage=_sampled(ran, "volts", gap.name, scenery),
        current=_sampled(ran, "amperes", gap.name, scenery),
        rate=scenery.rate,
        events=_events(ran, gap.arc_volts, scenery),
    )


def _sampled(ran: Run, quantity: str, part: str, scenery: Scenery) -> NDArray[np.float32]:
    """Waveform of the gap, each sample the middle of what the time around it holds."""
    count = int(scenery.duration * scenery.rate)
    found = np.zeros(count, np.float32)
    for first in range(0, count, STRETCH):
        last = min(first + STRETCH, count)
        wave = ran.waveform(
            quantity, part, start=first / scenery.rate, stop=last / scenery.rate, slices=last - first
        )
        found[first:last] = 0.5 * (wave.low + wave.high)
    return found


def _events(ran: Run, arc_volts: float, scenery: Scenery) -> NDArray[np.void]:
    """Discharges as the engine's meters booked them."""
    sparks = ran.sparks[ran.sparks["ended"]]
    events = np.zeros(len(sparks), dtype=TRUE_SPARK)
    events["start"], events["end"] = sparks["time_s"], sparks["time_s"] + sparks["duration_s"]
    events["delay"] = np.diff(sparks["time_s"], prepend=0.0)
    events["breakdown"], events["burning"] = sparks["breakdown_v"], arc_volts
    events["peak"], events["charge"], events["energy"] = (
        sparks["peak_a"], sparks["charge_c"], sparks["energy_j"],
    )  # fmt: skip
    share = (sparks["breakdown_v"] - arc_volts) / (scenery.open_voltage - arc_volts)
    events["code"] = np.where(
        share >= NORMAL_FROM, NORMAL, np.where(share >= PARTIAL_FROM, PARTIAL, TRANSIENT)
    )
    return events
