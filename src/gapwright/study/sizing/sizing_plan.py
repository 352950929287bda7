"""Plans of chargers with a coil: what is still free, tuned by the exact engine until the rate is right."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from pydantic import TypeAdapter, ValidationError

from gapwright.base.field import FROM_FILE
from gapwright.base.quantity import printed_quantity
from gapwright.base.units import Amperes, Henries, Hertz, Ohms, Seconds, Volts
from gapwright.circuit.stages.generators import COIL, DIODE, SWITCH
from gapwright.facts.series import neighbours
from gapwright.rig.generator import Generator
from gapwright.rig.rig import Rig
from gapwright.study.generator.findings_parts import SURGES, highest_current, highest_voltage
from gapwright.study.generator.generator_alone import generator_bench, seen_on
from gapwright.study.generator.scenes import STRIKES_AT, SceneName, Scenes, mean_current
from gapwright.study.grounds.assemble import Bench
from gapwright.study.sizing.sizing_check import figures_of
from gapwright.study.sizing.sizing_parts import nearest, rated, rated_current, shunt_for, text
from gapwright.study.sizing.sizing_stores import Candidate, PartLine, Store, Table, Unsuitable, stores
from gapwright.study.sizing.sizing_wish import Wish

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
GENERATOR: TypeAdapter[Generator] = TypeAdapter(Generator)


@dataclass(frozen=True, slots=True, kw_only=True)
class Bears:
    """Currents and voltages that coil, switch and diode are to bear."""

    coil: Amperes
    switch: Amperes
    diode: Amperes
    switch_volts: Volts
    diode_volts: Volts


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


Build = Callable[[Plan, Bears, Wish, Bench], Candidate]
"""Makes a candidate of a plan whose parts bear given currents."""


def planned(build: Build, wish: Wish, made: Bench, *, pull: float) -> Iterator[Candidate]:
    """Candidates of every store and on-time.

    Parameters
    ----------
    build
        Makes a candidate of a plan.
    wish, made
        What is wanted, and the rig it is for.
    pull
        Peak current over the mean current of the supply, for a first guess.

    Raises
    ------
    Unsuitable
        If the supply is too weak, or every plan asks for parts that cannot be had.
    """
    supply = made.rig.supply
    seen: set[tuple[Store, Henries, Ohms]] = set()
    beyond: Unsuitable | None = None
    for store in stores(wish, made, wish.voltage_v or USUAL_VOLTAGE):
        needs = wish.rate_hz * store.refill / EFFICIENCY / supply.voltage
        if needs > 0.9 * supply.current_limit:
            raise Unsuitable(
                f"it would draw {printed_quantity(needs, 'A')} on average, and the supply gives "
                f"{printed_quantity(supply.current_limit, 'A')}"
            )
        shunt = shunt_for(pull * needs, threshold=THRESHOLD)
        for on in ON_TIMES:
            try:
                plan = _tuned(Plan(store=store, on_time=on, shunt=shunt), build, wish, made)
            except Unsuitable as fault:
                beyond = fault
                continue
            key = (store, plan.henries(made.rig), plan.shunt)
            if key not in seen and plan.is_smooth(made.rig):
                seen.add(key)
                yield build(plan, _endured(plan, build, wish, made), wish, made)
    if beyond is not None and not seen:
        raise beyond


def _guess(plan: Plan, made: Bench) -> Bears:
    """Currents and voltages for a first draft."""
    volts = plan.store.volts
    return Bears(
        coil=3.0 * plan.peak,
        switch=6.0 * plan.peak,
        diode=max(made.rig.supply.current_limit, plan.peak),
        switch_volts=3.0 * volts,
        diode_volts=3.0 * volts,
    )


def _tuned(plan: Plan, build: Build, wish: Wish, made: Bench) -> Plan:
    """Plan with the smallest current that gives the rate, by the exact engine."""
    best: Plan | None = None
    for _ in range(ROUNDS):
        rig = as_rig(build(plan, _guess(plan, made), wish, made), made.rig)
        strikes = STRIKES_AT * rig.open_voltage
        got: Hertz = figures_of(rig, strikes=strikes, rate=wish.rate_hz)["rate_hz"]
        if got >= wish.rate_hz and (best is None or plan.peak < best.peak):
            best = plan
        wanted = plan.peak * min(max(SPARE * wish.rate_hz / max(got, 1e-9), 0.3), 3.0)
        plan = replace(plan, shunt=_another(plan.shunt, wanted, enough=got >= SPARE * wish.rate_hz))
    return best or plan


def _another(shunt: Ohms, wanted: Amperes, *, enough: bool) -> Ohms:
    """Shunt for a current, at least one step away from the one that was tried."""
    found = shunt_for(wanted, threshold=THRESHOLD)
    if found != shunt:
        return found
    return neighbours(shunt * 1.01, "E12")[1] if enough else neighbours(shunt * 0.99, "E12")[0]


def as_rig(candidate: Candidate, rig: Rig) -> Rig:
    """Rig with the generator and leads of a candidate.

    Raises
    ------
    Unsuitable
        If a value lies where no such part can be had.
    """
    try:
        generator = GENERATOR.validate_python(candidate.generator, context=FROM_FILE)
    except ValidationError as fault:
        first = fault.errors()[0]
        key, says = ".".join(map(str, first["loc"][1:])), first["msg"].partition(";")[0]
        raise Unsuitable(f"{key} {says}: no such part can be had") from None
    leads = rig.leads.model_copy(update={"inductance": candidate.lead_inductance})
    return rig.model_copy(update={"generator": generator, "leads": leads})


def _endured(plan: Plan, build: Build, wish: Wish, made: Bench) -> Bears:
    """Currents and voltages that the scenes of a draft ask of its parts.

    The coil's is that of starting and sparking: no coil of this size bears a lasting short, which a fuse
    or the controller has to end.
    """
    draft = as_rig(build(plan, _guess(plan, made), wish, made), made.rig)
    seen: Scenes = seen_on(generator_bench(draft))
    usual = (seen.by_name[name].ran for name in (SceneName.START_UP, SceneName.SPARK))
    surges = seen.highest(highest_current(DIODE))[0]
    lasting = max(mean_current(each.lasting, DIODE) for each in seen.by_name.values())
    return Bears(
        coil=max(highest_current(COIL)(ran) for ran in usual),
        switch=seen.highest(highest_current(SWITCH))[0],
        diode=max(lasting, surges / SURGES),
        switch_volts=seen.highest(highest_voltage(SWITCH))[0],
        diode_volts=seen.highest(highest_voltage(DIODE))[0],
    )


def own_lines(plan: Plan, table: dict[str, float]) -> tuple[PartLine, ...]:
    """Transistor, diode and shunt with their ratings: volts and amperes of switch and diode."""
    return (
        PartLine(
            part="switch",
            value="field-effect transistor, at most 50 mΩ warm",
            bears=f"{printed_quantity(table['switch_v'], 'V')}, {printed_quantity(table['switch_a'], 'A')}",
        ),
        PartLine(
            part="diode",
            value="fast diode",
            bears=f"{printed_quantity(table['diode_v'], 'V')}, {printed_quantity(table['diode_a'], 'A')} on "
            "average",
        ),
        PartLine(
            part="shunt",
            value=f"resistor {printed_quantity(plan.shunt, 'Ω')} ±5 %, trips at "
            f"{printed_quantity(THRESHOLD, 'V')}",
            bears=printed_quantity(plan.peak**2 * plan.shunt, "W"),
        ),
    )


def ratings_of(bears: Bears) -> dict[str, float]:
    """Ratings of switch and diode with headroom: volts and amperes."""
    return {
        "switch_v": rated(bears.switch_volts),
        "switch_a": rated_current(bears.switch),
        "diode_v": rated(bears.diode_volts),
        "diode_a": rated_current(bears.diode),
    }


def switch_and_diode(table: dict[str, float]) -> Table:
    """Switch and diode as tables of a rig file."""
    return {
        "switch": {
            "on_resistance": "50 mohm",
            "voltage_rating": text(table["switch_v"], "V"),
            "current_rating": text(table["switch_a"], "A"),
        },
        "diode": {
            "drop": "0.7 V",
            "resistance": "30 mohm",
            "voltage_rating": text(table["diode_v"], "V"),
            "current_rating": text(table["diode_a"], "A"),
        },
    }
