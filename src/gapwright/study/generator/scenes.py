"""Scenes of a generator: what its circuit does at start-up, while sparking, into a short, into an arc."""

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from gapwright.base.errors import GapwrightError, InputRefused
from gapwright.base.progress import Progress, silent, tell
from gapwright.base.quantity import printed_quantity
from gapwright.base.units import Amperes, Number, Seconds, Volts
from gapwright.circuit.control.control import Control
from gapwright.circuit.control.ignition import Ignition, Threshold
from gapwright.circuit.engine.engine import OPEN_GAP, Start, Window, run
from gapwright.circuit.engine.run import Run
from gapwright.circuit.network.elements import Diode, Gap
from gapwright.circuit.network.mna import GapState
from gapwright.circuit.network.netlist import Netlist
from gapwright.circuit.stages.generators import GAP, OPEN_OHMS, STORE
from gapwright.study.generator.network import switched_on

STRIKES_AT = 0.85
"""Share of the peak open voltage at which the gap is set to strike."""
FULL = 0.95
"""Share of the peak open voltage at which the store counts as full."""
CYCLES = 40
"""Charges that are run with the gap sparking."""
WARM_UP = 5
"""Charges before those that are metered."""
SHOWN = 4
"""Charges of the spark scene that are shown."""
FIRST_SPAN = 200e-6
"""First time that is given to filling or settling [s]; it is doubled until that is long enough."""
LONGEST_SPAN = 3.0
"""Time beyond which a store that still rises is taken as it is [s]."""
STILL = 1e-3
"""Share by which the voltage of a full store may still rise in the second half of a run."""
SETTLED = 0.01
"""Share by which the mean current may differ between two halves that count as settled."""
SLICES = 4000
FELT = 1e-3
"""Share of the largest discharge's energy below which another does not count as a spark."""


class SceneName(StrEnum):
    """What is made to happen to a generator."""

    START_UP = "start-up"
    SPARK = "spark"
    SHORT = "short"
    STANDING_ARC = "standing-arc"


WORDS = {
    SceneName.START_UP: "switched on with an empty store and an open gap",
    SceneName.SPARK: "sparking whenever the gap reaches its striking voltage",
    SceneName.SHORT: "gap shorted at a full store, and kept shorted",
    SceneName.STANDING_ARC: "an arc that burns from a full store and never goes out by itself",
}
"""What happens in each scene."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Scene:
    """One scene, run by the exact engine."""

    name: SceneName
    ran: Run
    """From the first moment of the scene, surges included, with waveforms of `window`."""
    lasting: Run
    """What goes on once the surges are over."""
    window: Window


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Scenes:
    """All scenes of one generator."""

    netlist: Netlist
    control: Control
    peak_open: Volts
    fill_time: Seconds
    strikes_at: Volts
    by_name: dict[SceneName, Scene]

    @property
    def spark(self) -> Scene:
        """Scene with the gap sparking."""
        return self.by_name[SceneName.SPARK]

    def highest(self, value: Callable[[Run], float]) -> tuple[float, SceneName]:
        """Highest value over the runs of all scenes, and the scene in which it came."""
        found = [(max(value(each.ran), value(each.lasting)), each.name) for each in self.by_name.values()]
        return max(found, key=lambda pair: pair[0])


def scenes(
    netlist: Netlist, control: Control, *, cycle: Seconds = 0.0, progress: Progress = silent
) -> Scenes:
    """Run all scenes of a generator.

    Parameters
    ----------
    netlist, control
        Circuit with its gap, and what works its switches.
    cycle
        Period of a control that gives pulses by the clock; 0 of any other. [s]
    progress
        Hears which scene is on; False stops with `Stopped`.
    """
    tell(progress, 0, 4, "filling the store")
    start = start_up(netlist, control)
    _require_charged(netlist, start)
    strikes = striking_voltage(start)
    fill = max(fill_time(start), cycle)
    tell(progress, 1, 4, "sparking")
    spark = sparking(netlist, control, strikes=Threshold(volts=strikes), fill=fill)
    tell(progress, 2, 4, "shorting the gap")
    full = Start(values=start.ran.final, gap=GapState.SHORT)
    short = settled(SceneName.SHORT, netlist, control, full, fill=fill)
    tell(progress, 3, 4, "holding an arc")
    arc = settled(
        SceneName.STANDING_ARC, burning_on(netlist), control, Start(values=start.ran.final), fill=fill
    )
    tell(progress, 4, 4, "done")
    return Scenes(
        netlist=netlist,
        control=control,
        peak_open=start.ran.meters[STORE].highest_voltage,
        fill_time=fill,
        strikes_at=strikes,
        by_name={scene.name: scene for scene in (start, spark, short, arc)},
    )


def striking_voltage(start: Scene) -> Volts:
    """Voltage at which the gap is set to strike, from a store that was filled with the gap open."""
    return STRIKES_AT * start.ran.meters[STORE].highest_voltage


def _remedy(start: Scene) -> str:
    """What helps a store that does not get there: a quicker charger if it is on its way, else its control."""
    if late_rise(start.ran) > STILL:
        return "it still rises: charge with more current, or take a smaller store"
    return "see to a control that works its switch, such as a peak_current that is reached"


def _require_charged(netlist: Netlist, start: Scene) -> None:
    """Refuse a generator whose control never charges the store to what a spark burns at."""
    peak, needed = start.ran.meters[STORE].highest_voltage, gap_of(netlist).arc_volts
    if peak > needed:
        return
    coil = start.ran.meters.get(netlist.coil)
    most = f", its coil at {printed_quantity(coil.highest_current, 'A')} at most" if coil else ""
    raise InputRefused(
        f"the store must be charged above the {printed_quantity(needed, 'V')} at which a spark burns, got "
        f"{printed_quantity(peak, 'V')} {start.ran.duration:.3g} s after switching on{most}; {_remedy(start)}"
    )


def start_up(netlist: Netlist, control: Control) -> Scene:
    """Fill the store with the gap open; the time is doubled until the voltage rises no more."""
    span = FIRST_SPAN
    while True:
        window = Window(start=0.0, stop=span)
        ran = run(netlist, control, span, record=window, initial=switched_on(netlist))
        if late_rise(ran) <= STILL or span >= LONGEST_SPAN:
            break
        span *= 2.0
    waiting = run(netlist, control, span, initial=Start(values=ran.final))
    return Scene(name=SceneName.START_UP, ran=ran, lasting=waiting, window=window)


def late_rise(ran: Run) -> Number:
    """Share of its peak voltage that the store gains in the second half of a run."""
    wave = ran.waveform("volts", STORE, start=0.0, stop=ran.duration, slices=SLICES)
    peak = ran.meters[STORE].highest_voltage
    return 1.0 - float(np.max(wave.high[: SLICES // 2])) / peak if peak > 0.0 else 0.0


def fill_time(start: Scene) -> Seconds:
    """Time in which the store comes near its peak voltage."""
    ran, window = start.ran, start.window
    wave = ran.waveform("volts", STORE, start=0.0, stop=window.stop, slices=SLICES)
    peak = ran.meters[STORE].highest_voltage
    return float(wave.times[int(np.argmax(wave.high >= FULL * peak))])


def sparking(netlist: Netlist, control: Control, *, strikes: Ignition, fill: Seconds) -> Scene:
    """Let the gap strike again and again; the first few charges are not metered."""
    first = run(netlist, control, WARM_UP * fill, ignition=strikes, initial=switched_on(netlist))
    duration = CYCLES * fill
    window = Window(start=0.0, stop=SHOWN * fill)
    ran = run(netlist, control, duration, ignition=strikes, record=window, initial=Start(values=first.final))
    return Scene(name=SceneName.SPARK, ran=ran, lasting=ran, window=window)


def burning_on(netlist: Netlist) -> Netlist:
    """Copy whose gap is an arc that takes every current, however small, and never more than one way."""
    gap = netlist.gap
    if gap is None:
        return netlist
    return netlist.with_part(
        Diode(
            name=gap.name,
            start=gap.start,
            end=gap.end,
            drop_volts=gap.arc_volts,
            on_ohms=gap.arc_ohms,
            off_ohms=OPEN_OHMS,
            stage=gap.stage,
            account=gap.account,
        )
    )


def settled(name: SceneName, netlist: Netlist, control: Control, start: Start, *, fill: Seconds) -> Scene:
    """Run from a state until the mean current through the gap stays the same."""
    span = max(fill, FIRST_SPAN)
    window = Window(start=0.0, stop=span)
    ran = run(netlist, control, span, ignition=OPEN_GAP, record=window, initial=start)
    before = ran
    while True:
        again = Start(values=before.final, gap=start.gap)
        kept = Window(start=0.5 * span, stop=span)
        lasting = run(netlist, control, span, ignition=OPEN_GAP, record=kept, initial=again)
        if abs(mean_current(lasting, GAP) - mean_current(before, GAP)) <= SETTLED * abs(
            mean_current(lasting, GAP)
        ):
            break
        if span >= LONGEST_SPAN:
            break
        before, span = lasting, 2.0 * span
    return Scene(name=name, ran=ran, lasting=lasting, window=window)


def mean_current(ran: Run, part: str) -> Amperes:
    """Mean current of a part over a run, from its start to its end."""
    return ran.meters[part].charge / ran.duration


def least_current(scene: Scene, part: str) -> Amperes:
    """Lowest current of a part in the second half of what lasts."""
    stop = scene.lasting.duration
    wave = scene.lasting.waveform("amperes", part, start=0.5 * stop, stop=stop, slices=SLICES)
    return float(np.min(wave.low))


def rms_current(ran: Run, part: str) -> Amperes:
    """Root of the mean square of a part's current."""
    return float(np.sqrt(max(0.0, ran.meters[part].action) / ran.duration))


def felt_sparks(ran: Run) -> NDArray[np.void]:
    """Discharges of a run, without those that hold less than `FELT` of the largest one's energy.

    A gap that is lit by a source of its own may flicker between pulses: microamperes for nanoseconds.
    """
    energies = ran.sparks["energy_j"]
    felt: NDArray[np.void] = ran.sparks[energies >= FELT * energies.max(initial=0.0)]
    return felt


def gap_of(netlist: Netlist) -> Gap:
    """Gap of a generator's circuit.

    Raises
    ------
    GapwrightError
        If the circuit has none.
    """
    if netlist.gap is None:
        raise GapwrightError("a generator's circuit must have a gap, got none; add it")
    return netlist.gap
