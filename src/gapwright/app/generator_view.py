"""A generator as its page shows it: scenes, what each part carries and bears, what can be traced."""

from dataclasses import dataclass

from gapwright.app.circuit import Seen
from gapwright.app.drawing import Array, array
from gapwright.app.generator_frame import frame_of, kicks_said
from gapwright.app.wording import quantity_text
from gapwright.base.checks import close_names
from gapwright.base.errors import InputRefused
from gapwright.base.units import Amperes, Number, Seconds, Volts
from gapwright.circuit.network.elements import Capacitor, Diode, Element, Gap, Resistor, Switch
from gapwright.circuit.stages.generators import COIL, GAP, STORE
from gapwright.study.generator.generator_alone import GeneratorAlone, Meter, SceneMeters
from gapwright.study.generator.scene_traces import KINDS, SceneTraces, trace_asked, traces_of
from gapwright.study.generator.scenes import SceneName
from gapwright.study.grounds.finding import Finding

TITLES = {
    SceneName.START_UP: "Start-up",
    SceneName.SPARK: "Spark",
    SceneName.SHORT: "Short",
    SceneName.STANDING_ARC: "Standing arc",
}
"""Names of the scenes for a page."""
USUAL = (f"volts:{STORE}", f"volts:{GAP}", f"amperes:{GAP}", f"amperes:{COIL}")
"""Traces that are shown first, where the circuit has them."""
ALSO = {"capacitor": STORE, "resistor": "charging resistor"}
"""Parts of findings that the circuit knows by another name."""
HEATS = (Resistor, Switch, Diode, Gap)
"""Parts all of whose power is heat; a capacitor heats by its series resistance, coils pass theirs on."""
LEAST_HEAT = 1e-12
"""Heat below which a part is cold: what an idle capacitor has from rounding [W]."""
SAYINGS = {"volts": "across the {}", "amperes": "through the {}", "node": "node {} against ground"}


@dataclass(frozen=True, slots=True, kw_only=True)
class TraceChoice:
    """A waveform that can be asked for: its key, its name in words and its unit."""

    trace: str
    name: str
    unit: str
    kind: str
    of: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PartLoad:
    """What one part carries in a scene, and how near it comes to its limits.

    `heat_w` is None of a part that stores or passes on what it takes. `stress`
    is the largest share of a limit over all scenes, None where none is known.
    """

    part: str
    heat_w: Number | None
    rms_current_a: Amperes
    peak_current_a: Amperes
    peak_voltage_v: Volts
    stress: Number | None
    stress_of: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SceneView:
    """One scene: its name in words, what happens, what was recorded, and what each part carries."""

    scene: str
    title: str
    happens: str
    recorded_s: Seconds
    hottest_w: Number
    """Largest heat of a part other than the gap; the full shade of the drawing."""
    parts: tuple[PartLoad, ...]
    kicks: str
    """What the highest voltages of gap and leads are; empty where they do not kick."""


@dataclass(frozen=True, slots=True, kw_only=True)
class GeneratorView:
    """All that the page of a generator shows before a waveform is asked for."""

    told: GeneratorAlone
    scenes: tuple[SceneView, ...]
    traces: tuple[TraceChoice, ...]
    usual: tuple[str, ...]
    says: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TraceDrawing:
    """One waveform: least and greatest value of each slice."""

    trace: str
    name: str
    unit: str
    low: Array
    high: Array


@dataclass(frozen=True, slots=True, kw_only=True)
class TracesDrawing:
    """Waveforms over one stretch of a scene, which is divided into equal slices."""

    scene: str
    start_s: Seconds
    stop_s: Seconds
    slices: int
    traces: tuple[TraceDrawing, ...]
    frame_v: tuple[Volts, Volts] | None
    """Voltages between which the drawing stays, so that kicks of nanoseconds do not flatten the rest."""


def generator_view(seen: Seen) -> GeneratorView:
    """A generator as its page shows it."""
    netlist = seen.scenes.netlist
    stresses = stresses_of(seen.told.findings)
    choices = tuple(
        TraceChoice(
            trace=each.key,
            name=trace_name(each.key),
            unit=KINDS[each.kind],
            kind=each.kind,
            of=each.name,
        )
        for each in traces_of(netlist)
    )
    there = {choice.trace for choice in choices}
    return GeneratorView(
        told=seen.told,
        scenes=tuple(_scene(seen, each, stresses) for each in seen.told.scenes),
        traces=choices,
        usual=tuple(trace for trace in USUAL if trace in there),
        says=generator_says(seen.told),
    )


def trace_name(key: str) -> str:
    """A trace in words.

    Examples
    --------
    >>> trace_name("volts:store"), trace_name("node:out")
    ('across the store', 'node out against ground')
    """
    asked = trace_asked(key)
    return SAYINGS[asked.kind].format(asked.name)


def generator_says(told: GeneratorAlone) -> str:
    """What a generator does, in a sentence."""
    volts = quantity_text(told.peak_open_voltage_v, "V")
    fills = quantity_text(told.fill_time_s, "s")
    first = f"Fills its store to {volts} in {fills}"
    if told.pulse is None:
        return f"{first}; {no_spark_says(told)}."
    pulse = told.pulse
    energy, peak = quantity_text(pulse.energy_j, "J"), quantity_text(pulse.peak_current_a, "A")
    rate = quantity_text(pulse.rate_hz, "Hz", digits=2)
    return f"{first} and sparks at {rate}: {energy} in the gap each time, with a peak of {peak}."


def no_spark_says(told: GeneratorAlone) -> str:
    """Why a generator that is let spark does not."""
    gap = next(each for each in told.meters if each.part == GAP)
    if gap.highest_voltage_v < told.strikes_at_v:
        reached, needed = (quantity_text(v, "V") for v in (gap.highest_voltage_v, told.strikes_at_v))
        return (
            f"the gap never strikes: it comes to {reached} of the {needed} it would strike at; "
            "see which switch before it stays open"
        )
    return "no discharge ends by itself: what feeds it keeps it burning"


def stresses_of(findings: tuple[Finding, ...]) -> dict[str, tuple[float, str]]:
    """Largest share of a limit that each part is asked for, and of which limit."""
    found: dict[str, tuple[float, str]] = {}
    for each in findings:
        part = ALSO.get(each.part, each.part)
        if each.margin is None or not each.limit or _is_least(each):
            continue
        share = 1.0 - each.margin
        if share > found.get(part, (-1.0, ""))[0]:
            found[part] = (share, f"{each.quantity}, {each.scene}" if each.scene != "any" else each.quantity)
    return found


def _is_least(found: Finding) -> bool:
    """Whether the limit is the least allowed: no share of it says how much a part bears."""
    return found.limit is not None and (found.found > found.limit) == found.within


def _scene(seen: Seen, told: SceneMeters, stresses: dict[str, tuple[float, str]]) -> SceneView:
    name = SceneName(told.name)
    scene = seen.scenes.by_name[name]
    begins = {meter.part: meter for meter in told.begins}
    parts = tuple(
        _load(seen.scenes.netlist.element(meter.part), begins[meter.part], meter, stresses)
        for meter in told.lasts
    )
    heats = [part.heat_w for part in parts if part.heat_w is not None and part.part != GAP]
    return SceneView(
        scene=told.name,
        title=TITLES[name],
        happens=told.happens,
        recorded_s=scene.window.stop,
        hottest_w=max(heats, default=0.0),
        parts=parts,
        kicks=kicks_said((*told.begins, *told.lasts), seen.told.peak_open_voltage_v),
    )


def _load(part: Element, begins: Meter, lasts: Meter, stresses: dict[str, tuple[float, str]]) -> PartLoad:
    both = (begins, lasts)
    stress, of = stresses.get(part.name, (None, ""))
    return PartLoad(
        part=part.name,
        heat_w=_heat(part, lasts),
        rms_current_a=lasts.rms_current_a,
        peak_current_a=farthest(*(end for m in both for end in (m.lowest_current_a, m.highest_current_a))),
        peak_voltage_v=farthest(*(end for m in both for end in (m.lowest_voltage_v, m.highest_voltage_v))),
        stress=stress,
        stress_of=of,
    )


def farthest(*values: float) -> float:
    """The value farthest from 0, with its sign.

    Examples
    --------
    >>> farthest(-3.0, 2.0)
    -3.0
    """
    return max(values, key=abs)


def _heat(part: Element, meter: Meter) -> float | None:
    if isinstance(part, Capacitor):
        heat = meter.rms_current_a**2 * part.series_ohms
        return heat if heat > LEAST_HEAT else 0.0
    return max(0.0, meter.power_w) if isinstance(part, HEATS) else None


def scene_of(view: GeneratorView, name: str) -> SceneView:
    """A scene of a view by its name.

    Raises
    ------
    InputRefused
        If there is none.
    """
    names = [each.scene for each in view.scenes]
    if name not in names:
        raise InputRefused(
            f"a scene must be one of {', '.join(names)}, got {name[:60]!r}{close_names(name[:60], names)}"
        )
    return view.scenes[names.index(name)]


def traces_drawing(found: SceneTraces) -> TracesDrawing:
    """Waveforms as a page draws them."""
    return TracesDrawing(
        scene=found.scene,
        start_s=found.start_s,
        stop_s=found.stop_s,
        slices=len(found.traces[0].low),
        traces=tuple(
            TraceDrawing(
                trace=each.asked.key,
                name=trace_name(each.asked.key),
                unit=each.unit,
                low=array(each.low),
                high=array(each.high),
            )
            for each in found.traces
        ),
        frame_v=frame_of(found),
    )
