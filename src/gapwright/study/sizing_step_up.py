"""Step-up generators for a wanted spark energy and rate, tuned by the exact engine."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from gapwright.base.field import FROM_FILE
from gapwright.base.quantity import printed_quantity
from gapwright.base.units import Amperes, Henries, Hertz, Ohms, Seconds
from gapwright.circuit.generators import COIL, DIODE, SWITCH
from gapwright.facts.series import neighbours
from gapwright.rig.generator import StepUp
from gapwright.rig.rig import Rig
from gapwright.study.assemble import Bench
from gapwright.study.findings_parts import SURGES, highest_current
from gapwright.study.generator_alone import generator_bench, seen_on
from gapwright.study.scenes import STRIKES_AT, SceneName, Scenes, mean_current
from gapwright.study.sizing_check import figures_of
from gapwright.study.sizing_parts import (
    HEADROOM,
    coil_design,
    nearest,
    rated,
    rated_current,
    shunt_for,
    text,
)
from gapwright.study.sizing_stores import (
    Candidate,
    PartLine,
    Store,
    Table,
    Unsuitable,
    coil_line,
    common,
    sensing,
    stores,
    timers,
)
from gapwright.study.sizing_wish import Wish

USUAL_VOLTAGE = 70.0
"""Open voltage where none is asked for [V]."""
ON_TIMES = (5e-6, 10e-6, 20e-6)
"""Times in which the coil reaches its peak, one candidate each [s]."""
EFFICIENCY = 0.85
"""Share of the supply's power that reaches the store, for a first guess; from memory."""
THRESHOLD = 0.1
"""Voltage over the shunt at which the current comparator trips [V]; from memory."""
LARGEST_LUMP = 0.3
"""Energy of one charge of the coil over that of the full store, so that it overshoots little."""
SPARE = 1.2
"""Rate aimed at over the rate wanted, for the tolerances."""
ROUNDS = 5
"""Times that the current is set anew by what the engine says."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bears:
    """Currents that coil, switch and diode are to bear."""

    coil: Amperes
    switch: Amperes
    diode: Amperes


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """What is still free in a step-up: its store, the on-time, the shunt that sets its current."""

    store: Store
    on_time: Seconds
    shunt: Ohms

    @property
    def peak(self) -> Amperes:
        """Current at which the switch opens."""
        return THRESHOLD / self.shunt

    def henries(self, rig: Rig) -> Henries:
        """Preferred inductance that reaches the peak in about the on-time."""
        return nearest(rig.supply.voltage * self.on_time / self.peak, "E6")

    def is_smooth(self, rig: Rig) -> bool:
        """Whether one charge of the coil lifts the store only a little."""
        lump = self.henries(rig) * self.peak**2
        return lump <= LARGEST_LUMP * self.store.farads * self.store.volts**2


def step_ups(wish: Wish, made: Bench) -> Iterator[Candidate]:
    """A store charged from a lower supply through a coil.

    Raises
    ------
    Unsuitable
        If the supply is not well below the voltage, or too weak.
    """
    supply = made.rig.supply
    volts = wish.voltage_v or USUAL_VOLTAGE
    if volts <= 1.1 * supply.voltage:
        raise Unsuitable(
            f"a coil only steps up, and {printed_quantity(volts, 'V')} is not well above the supply's "
            f"{printed_quantity(supply.voltage, 'V')}"
        )
    for store in stores(wish, made, volts):
        needs = wish.rate_hz * store.refill / EFFICIENCY / supply.voltage
        if needs > 0.9 * supply.current_limit:
            raise Unsuitable(
                f"it would draw {printed_quantity(needs, 'A')} on average, and the supply gives "
                f"{printed_quantity(supply.current_limit, 'A')}"
            )
        plans = (
            Plan(store=store, on_time=on, shunt=shunt_for(2.0 * needs, threshold=THRESHOLD))
            for on in ON_TIMES
        )
        tuned = [_tuned(plan, wish, made) for plan in plans]
        seen: set[tuple[Henries, Ohms]] = set()
        for plan in tuned:
            key = (plan.henries(made.rig), plan.shunt)
            if key not in seen and plan.is_smooth(made.rig):
                seen.add(key)
                yield built(plan, _endured(plan, wish, made), wish, made)


def _guess(plan: Plan, made: Bench) -> Bears:
    """Currents for a first draft."""
    return Bears(
        coil=3.0 * plan.peak, switch=6.0 * plan.peak, diode=max(made.rig.supply.current_limit, plan.peak)
    )


def _tuned(plan: Plan, wish: Wish, made: Bench) -> Plan:
    """Plan with the smallest current that gives the rate, by the exact engine."""
    best: Plan | None = None
    for _ in range(ROUNDS):
        rig = as_rig(built(plan, _guess(plan, made), wish, made), made.rig)
        got: Hertz = figures_of(rig, strikes=STRIKES_AT * rig.open_voltage, rate=wish.rate_hz)["rate_hz"]
        if got >= wish.rate_hz and (best is None or plan.peak < best.peak):
            best = plan
        wanted = plan.peak * min(max(SPARE * wish.rate_hz / max(got, 1e-9), 0.3), 3.0)
        shunt = shunt_for(wanted, threshold=THRESHOLD)
        if shunt == plan.shunt:
            shunt = neighbours(shunt * (1.01 if got >= SPARE * wish.rate_hz else 0.99), "E12")[
                1 if got >= SPARE * wish.rate_hz else 0
            ]
        plan = replace(plan, shunt=shunt)
    return best or plan


def as_rig(candidate: Candidate, rig: Rig) -> Rig:
    """Rig with the generator and leads of a candidate."""
    generator = StepUp.model_validate(candidate.generator, context=FROM_FILE)
    leads = rig.leads.model_copy(update={"inductance": candidate.lead_inductance})
    return rig.model_copy(update={"generator": generator, "leads": leads})


def _endured(plan: Plan, wish: Wish, made: Bench) -> Bears:
    """Currents that the scenes of a draft ask of its parts.

    The coil's is that of starting and sparking: no coil of this size bears a lasting short, which a fuse
    or the controller has to end.
    """
    seen: Scenes = seen_on(generator_bench(as_rig(built(plan, _guess(plan, made), wish, made), made.rig)))
    usual = (seen.by_name[name].ran for name in (SceneName.START_UP, SceneName.SPARK))
    surges = seen.highest(highest_current(DIODE))[0]
    lasting = max(mean_current(each.lasting, DIODE) for each in seen.by_name.values())
    return Bears(
        coil=max(highest_current(COIL)(ran) for ran in usual),
        switch=seen.highest(highest_current(SWITCH))[0],
        diode=max(lasting, surges / SURGES),
    )


def built(plan: Plan, bears: Bears, wish: Wish, made: Bench) -> Candidate:
    """Candidate of a plan whose parts bear given currents."""
    supply, store = made.rig.supply, plan.store
    volts, henries, peak = store.volts, plan.henries(made.rig), plan.peak
    surge = HEADROOM * bears.coil
    coil = coil_design(henries, peak=surge, rms=peak, core=wish.core)
    limit = rated(volts)
    off = max(henries * peak / (volts - supply.voltage), 1e-6)
    counted = timers(
        wish,
        {
            "least off-time": off,
            "longest on-time, after which the drive gives up": 3.0 * henries * peak / supply.voltage,
            "sample of the gap": made.rig.controller.sample_time,
        },
    )
    table, lines = common(store, made)
    switch, diode = rated_current(bears.switch), rated_current(bears.diode)
    divider, tapped = sensing(volts, wish)
    generator: Table = {
        "kind": "step-up",
        "peak_current": text(peak, "A"),
        "minimum_off_time": text(next((t.lasts_s for t in counted if t.name == "least off-time"), off), "s"),
        "voltage_limit": text(volts, "V"),
        "hysteresis": text(0.03 * volts, "V"),
        "coil": {
            "inductance": text(henries, "H"),
            "resistance": text(coil.resistance_ohm, "Ω"),
            "saturation_current": text(surge, "A"),
        },
        "switch": {
            "on_resistance": "50 mohm",
            "voltage_rating": text(limit, "V"),
            "current_rating": text(switch, "A"),
        },
        "diode": {
            "drop": "0.7 V",
            "resistance": "30 mohm",
            "voltage_rating": text(limit, "V"),
            "current_rating": text(diode, "A"),
        },
        **table,
    }
    return Candidate(
        kind="step-up",
        generator=generator,
        lead_inductance=store.spec.inductance,
        parts=(coil_line(coil, surge), *_own_lines(plan, limit, switch, diode), *lines, *tapped),
        coil=coil,
        divider=divider,
        timers=counted,
    )


def _own_lines(plan: Plan, volts: float, switch: Amperes, diode: Amperes) -> tuple[PartLine, ...]:
    """Transistor, diode and shunt."""
    limit = printed_quantity(volts, "V")
    return (
        PartLine(
            part="switch",
            value="field-effect transistor, at most 50 mΩ warm",
            bears=f"{limit}, {printed_quantity(switch, 'A')}",
        ),
        PartLine(
            part="diode",
            value="fast diode",
            bears=f"{limit}, {printed_quantity(diode, 'A')} on average",
        ),
        PartLine(
            part="shunt",
            value=f"resistor {printed_quantity(plan.shunt, 'Ω')} ±5 %, trips at "
            f"{printed_quantity(THRESHOLD, 'V')}",
            bears=printed_quantity(plan.peak**2 * plan.shunt, "W"),
        ),
    )
