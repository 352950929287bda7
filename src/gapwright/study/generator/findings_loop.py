"""Findings about the discharge loop: ringing, peak current, heat in leads and contact, shared wires, fuse."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import pi, sqrt

from gapwright.base.quantity import printed_quantity
from gapwright.base.units import ActionIntegral, Amperes, Henries, Number, Seconds, Volts
from gapwright.circuit.engine.run import Run
from gapwright.circuit.formulas.discharge import SeriesLoop, damping_ratio, half_period, peak_current
from gapwright.circuit.formulas.fusing import fusing_action, slow_fusing_current
from gapwright.circuit.formulas.real_parts import stray_voltage
from gapwright.circuit.formulas.spent import left_voltage
from gapwright.circuit.stages.generators import GAP, LEAD, STORE
from gapwright.facts.limits import limit
from gapwright.facts.series import neighbours
from gapwright.rig.components import series_resistance
from gapwright.rig.leads import copper_area, wire_resistance
from gapwright.study.cautions.cautions_parts import NANOHENRIES_PER_CENTIMETRE
from gapwright.study.cautions.cautions_store import bleeding
from gapwright.study.generator.findings_parts import INNER, drawn
from gapwright.study.generator.network import ARC_OHMS
from gapwright.study.generator.scenes import SceneName, Scenes, felt_sparks, rms_current
from gapwright.study.grounds.assemble import Bench
from gapwright.study.grounds.finding import ANY, Finding, Held, finding, of_caution
from gapwright.study.grounds.limit_words import limit_words, source_words
from gapwright.study.grounds.outcome import Degree
from gapwright.study.grounds.store_duty import bleed_time
from gapwright.study.grounds.stress import Stress


@dataclass(frozen=True, slots=True, kw_only=True)
class LoopFigures:
    """One discharge of the store, worked out by the laws of a series loop."""

    inductance_h: Henries
    damping: Number
    peak_current_a: Amperes
    duration_s: Seconds
    """Time to the first zero of the current; 0 where the loop does not ring."""
    left_voltage_v: Volts


@dataclass(frozen=True, slots=True, kw_only=True)
class HalvedLoop:
    """What halving the inductance of the loop would give."""

    now: LoopFigures
    halved: LoopFigures


def loop_figures(made: Bench, *, inductance: Henries, voltage: Volts) -> LoopFigures:
    """One discharge from `voltage` through a loop of the rig's resistance and another inductance."""
    rig = made.rig
    ohms = (
        series_resistance(rig.generator.capacitor)
        + wire_resistance(rig.leads)
        + rig.leads.contact_resistance
        + ARC_OHMS
    )
    loop = SeriesLoop(resistance=ohms, inductance=inductance, capacitance=rig.generator.capacitor.capacitance)
    damping = damping_ratio(loop)
    return LoopFigures(
        inductance_h=inductance,
        damping=damping,
        peak_current_a=peak_current(voltage, arc_voltage=made.burning, loop=loop),
        duration_s=half_period(loop) if damping < 1.0 else 0.0,
        left_voltage_v=left_voltage(voltage, arc_voltage=made.burning, loop=loop),
    )


def halved_loop(made: Bench, *, voltage: Volts) -> HalvedLoop:
    """One discharge through the loop as it is, and through one of half its inductance."""
    whole = made.rig.leads.inductance
    return HalvedLoop(
        now=loop_figures(made, inductance=whole, voltage=voltage),
        halved=loop_figures(made, inductance=0.5 * whole, voltage=voltage),
    )


BUS_FED = frozenset({"iso-pulse", "current-source"})
"""Kinds whose sparks are fed through a ballast or a coil, not by a store alone."""


def is_store_fed(made: Bench) -> bool:
    """Whether a spark empties the store through nothing but leads and contact."""
    return made.rig.generator.kind not in BUS_FED


def loop_findings(made: Bench, seen: Scenes, stress: Stress) -> Iterator[Finding]:
    """Everything about store, leads and gap as one loop."""
    if is_store_fed(made) and seen.strikes_at > made.burning:
        yield ringing(made, seen)
    yield spark_peak(stress)
    yield from lead_load(made, seen, stress)
    yield contact_heat(seen)
    yield shared_wire(made, stress)
    yield fuse(seen)
    yield from bleeder(made, stress)


def ringing(made: Bench, seen: Scenes) -> Finding:
    """Damping of the loop, and what halving its inductance would give.

    The laws of the loop know of no charger and no diode beside the store; what the whole circuit leaves on
    it stands beside what they say.
    """
    both = halved_loop(made, voltage=seen.strikes_at)
    now, halved = both.now, both.halved
    bound = limit("damping")
    ohms = 2.0 * bound.value * sqrt(now.inductance_h / made.rig.generator.capacitor.capacitance)
    return finding(
        Held(
            part=LEAD,
            quantity="damping of the loop",
            scene=SceneName.SPARK,
            found=now.damping,
            limit=bound.value,
            unit="",
            at_least=True,
        ),
        text=f"Store and leads of {printed_quantity(now.inductance_h, 'H')} by themselves would leave "
        f"{printed_quantity(now.left_voltage_v, 'V')} on the store after a spark{_beside(seen)}. With half "
        f"the inductance they would leave {printed_quantity(halved.left_voltage_v, 'V')}, the peak would be "
        f"{100.0 * (halved.peak_current_a / now.peak_current_a - 1.0):.0f} % higher and the spark "
        f"{_shorter(both)} shorter.",
        remedy=f"Twist go and return tightly and keep them short; {printed_quantity(ohms, 'Ω')} in the loop "
        f"damp it enough, or a diode across the store takes the reversed current.",
        source=f"{limit_words(bound)}; {source_words(bound)}",
        beyond=Degree.NOTE,
    )


def _beside(seen: Scenes) -> str:
    """What is left on the store where charger and diodes are there as well."""
    sparks = felt_sparks(seen.spark.ran)
    done = sparks[sparks["ended"]]
    if len(done) == 0:
        return ""
    return f", and with all parts around them {printed_quantity(float(done['store_v'].mean()), 'V')}"


def _shorter(both: HalvedLoop) -> str:
    if both.halved.duration_s <= 0.0 or both.now.duration_s <= 0.0:
        return "hardly"
    return f"{100.0 * (1.0 - both.halved.duration_s / both.now.duration_s):.0f} %"


def spark_peak(stress: Stress) -> Finding:
    """Peak current and action integral of a spark."""
    return finding(
        Held(
            part=GAP,
            quantity="peak current of a spark",
            scene=SceneName.SPARK,
            found=stress.peak_current_a,
            unit="A",
        ),
        text=f"A spark peaks at {printed_quantity(stress.peak_current_a, 'A')} with an action integral of "
        f"{stress.action_a2s:.3g} A²s and {printed_quantity(stress.spark_energy_j, 'J')} in the gap.",
        remedy="A diode across the store, a switch in series or a shunt must each bear this peak.",
        source="computed",
    )


def lead_load(made: Bench, seen: Scenes, stress: Stress) -> Iterator[Finding]:
    """Heat in the leads: against slow melting for the r.m.s. current, against fast melting for a spark."""
    area = copper_area(made.rig.leads)
    if area is None:
        return
    carried, bound = rms_current(seen.spark.lasting, LEAD), limit("lead-load")
    melts = slow_fusing_current(sqrt(4.0 * area / pi))
    action: ActionIntegral = fusing_action(area)
    yield finding(
        Held(
            part=LEAD,
            quantity="current, r.m.s.",
            scene=SceneName.SPARK,
            found=carried,
            limit=bound.value * melts,
            unit="A",
        ),
        text=f"The leads carry {printed_quantity(carried, 'A')} r.m.s.; {printed_quantity(melts, 'A')} would "
        f"melt their copper slowly, and one spark puts {stress.action_a2s / action:.1g} of the action into "
        f"them that melts it at once.",
        remedy="Take thicker or stranded wire, short and twisted.",
        source=f"{limit_words(bound)}; {source_words(bound)}",
    )


def contact_heat(seen: Scenes) -> Finding:
    """Heat in the sliding contact, and in the leads beside it."""
    ran, bound = seen.spark.lasting, limit("contact-heat")
    contact, leads = (ran.joules("out", name) / ran.duration for name in ("sliding contact", "leads"))
    return finding(
        Held(
            part="sliding contact",
            quantity="heat",
            scene=SceneName.SPARK,
            found=contact,
            limit=bound.value,
            unit="W",
        ),
        text=f"Sparking without a pause heats the sliding contact with {printed_quantity(contact, 'W')} and "
        f"the leads with {printed_quantity(leads, 'W')}.",
        remedy="Use two brushes, press them harder, or clamp the wire to a part that does not turn.",
        source=source_words(bound),
    )


def shared_wire(made: Bench, stress: Stress) -> Finding:
    """Voltage that a spark's rise puts on wire which gap and controller share."""
    length, bound = made.rig.leads.shared_length, limit("shared-lead-voltage")
    rise = max(0.0, stress.store_volts - made.burning) / stress.lead_inductance_h
    step = stray_voltage(rise, inductance=100.0 * length * NANOHENRIES_PER_CENTIMETRE)
    return finding(
        Held(
            part="shared wire",
            quantity="voltage against the logic's margin",
            scene=SceneName.SPARK,
            found=step,
            limit=bound.value,
            unit="V",
        ),
        text=f"A spark rises by {rise * 1e-6:.3g} A/µs, which puts {printed_quantity(step, 'V')} on "
        f"{printed_quantity(length, 'm')} of wire that gap and controller share; a logic input bears "
        f"{printed_quantity(bound.value, 'V')}. This is the usual cause of resets.",
        remedy="Join the two at one point only, feed the controller by wires of its own, and then give "
        'leads.shared_length = "0 m".',
        source=source_words(bound),
    )


def heating_current(ran: Run) -> Amperes:
    """Current that heats a fuse before the charger: that of the wire, not energy over the full voltage.

    A supply at its limit gives its current at a voltage that has broken down.
    """
    return max(rms_current(ran, INNER), drawn(ran)) if INNER in ran.meters else drawn(ran)


def fuse(seen: Scenes) -> Finding:
    """Fuse before the charger: the next rating above the working current, and whether a short blows it."""
    bears, ratio = limit("fuse-load"), limit("fuse-ratio")
    work = heating_current(seen.spark.lasting)
    rating = neighbours(work / bears.value, "R10")[1] if work > 0.0 else 0.0
    short = heating_current(seen.by_name[SceneName.SHORT].lasting)
    size = printed_quantity(rating, "A")
    return finding(
        Held(
            part="fuse",
            quantity="short-circuit current over its rating",
            scene=SceneName.SHORT,
            found=short / rating if rating else 0.0,
            limit=ratio.value,
            unit="",
            at_least=True,
        ),
        text=f"A slow fuse of {size} before the charger bears the {printed_quantity(work, 'A')} of work; a "
        f"lasting short draws {printed_quantity(short, 'A')} from the supply.",
        remedy="Where a short draws less than twice the fuse's rating, let the controller cut the supply "
        "when the gap stays low: no fuse tells such a short from work.",
        source=source_words(ratio),
        beyond=Degree.NOTE,
    )


def bleeder(made: Bench, stress: Stress) -> Iterator[Finding]:
    """How fast the store empties once the supply is off."""
    bound = limit("residual-voltage" if made.dry else "residual-voltage-wet")
    soon = limit("residual-time-reachable")
    generator, volts = made.rig.generator, stress.store_volts
    took: Seconds | None = None
    if generator.bleeder is not None:
        took = bleed_time(
            volts, left=bound.value, resistance=generator.bleeder, capacitance=generator.capacitor.capacitance
        )
    if took is not None:
        held = Held(
            part="bleeder",
            quantity="time to empty the store",
            scene=ANY,
            found=took,
            limit=soon.value,
            unit="s",
        )
    else:
        held = Held(part=STORE, quantity="voltage left after switching off", scene=ANY, found=volts, unit="V")
    raised = list(bleeding(made, stress))
    yield from (of_caution(caution, held) for caution in raised)
    if not raised and took is not None:
        yield finding(
            held,
            text=f"The bleeder brings the store to {printed_quantity(bound.value, 'V')} within "
            f"{printed_quantity(took, 's')} and takes "
            f"{printed_quantity(volts**2 / (generator.bleeder or 1.0), 'W')}.",
            remedy="Nothing to do.",
            source=source_words(soon),
        )
