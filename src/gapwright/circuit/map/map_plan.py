"""Where a generator under governors has its sections: by which phase of which governor they are known."""

from dataclasses import dataclass, field, replace

from gapwright.base.errors import InputRefused
from gapwright.base.units import Amperes, Seconds, Volts
from gapwright.circuit.control.charging_control import CHARGER, PULSE, TRAIN
from gapwright.circuit.control.governor import (
    Above,
    After,
    Below,
    Governed,
    Governor,
    Phase,
    Rule,
    WhenIn,
)
from gapwright.circuit.map import _section_kernel as sk
from gapwright.circuit.map._map_kernel import BY_END, BY_START, CUT
from gapwright.circuit.network.elements import Inductor
from gapwright.circuit.network.netlist import Netlist

EMPTIED, ANEW = "emptied", "anew"
"""Phases that look at an emptied coil and close the switch on it, told from those entered otherwise."""
HOLD, RUN_ON, REST_ON = "held", "run on", "rest on"
"""Phases without a rule, in which a governor stays while a slice is worked out."""
SETTLINGS = 50.0
"""Time constants of a coil and its damper after which an emptied coil has settled."""

Phases = dict[str, str]
"""Phase of governors, by name."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Chart:
    """A kind of stretch: where the governors begin, and what follows."""

    name: str
    kind: int
    begins: Phases
    needs: Phases
    """Phases that others must be in where a run comes to this chart; those not named may be in any."""
    when_struck: Phases = field(default_factory=dict)
    when_shorted: Phases = field(default_factory=dict)
    rule: int = BY_END
    follows: tuple[int, int, int] = (0, 0, 0)
    release: Volts | None = None
    """Voltage of the store at which a chart that is cut gives way."""
    dead: bool = False
    """Whether the gap gets no voltage in it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """Phase by which a section is known: it has lasted for `wait`, or has just been entered if `fresh`."""

    chart: int
    governor: str
    phase: str
    fresh: bool = True
    wait: Seconds = 0.0
    ends_stretch: bool = True
    ends_return: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """How a generator under governors is cut into stretches."""

    control: Governed
    charts: tuple[Chart, ...]
    marks: tuple[Mark, ...]
    start: int = 0
    """Chart in which a run begins."""
    full: int = -1
    """Chart of a full store, if there is one."""
    top: Volts | None = None
    """Voltage limit of the charger, if there is one."""
    bus: bool = False
    """Whether the store lies across the supply, and pulses are taken from it."""
    averaged: bool = False
    """Whether the coil's current goes its own way between two values: its mean is taken at sections."""
    coil_limit: Amperes = 0.0
    """Current in the coil at which a charger opens its switch."""
    leak_limit: Amperes = 0.0
    """Current through the gap above which a pulse counts as ignited."""
    longest_pulse: Seconds = 0.0
    train: tuple[Seconds, Seconds] | None = None


def plan_of(netlist: Netlist, control: Governed) -> Plan:
    """Sections of a generator under governors.

    Raises
    ------
    InputRefused
        If none can be found.
    """
    named = {g.name: g for g in control.governors}
    if CHARGER in named:
        plan = _charger_plan(netlist, control, named[CHARGER])
    elif PULSE in named:
        plan = _pulse_plan(control, named)
    else:
        plan = _free_plan(control)
    _require_no_counting(plan)
    return plan


def _require_no_counting(plan: Plan) -> None:
    """Refuse rules that count charge while nothing burns, since a leak adds to it from section to section."""
    for governor in plan.control.governors:
        for chart in plan.charts:
            for rule in _phase(governor, chart.begins[governor.name]).rules:
                if isinstance(rule, Above | Below) and rule.sensor.quantity == "charge":
                    raise InputRefused(
                        "a charge map must have governors that count charge in discharges alone, got one "
                        f"that counts in {governor.name}/{chart.begins[governor.name]}, where a leak adds to "
                        "it from section to section; count in a phase of its own, entered when the gap burns"
                    )


def _phase(governor: Governor, name: str) -> Phase:
    for phase in governor.phases:
        if phase.name == name:
            return phase
    raise InputRefused(
        f"a charge map must have a governor {governor.name!r} with a phase {name!r}, got none; "
        "run the full engine for such a circuit"
    )


def _level(phase: Phase, kind: type[Above] | type[Below], then: str) -> float:
    """Level of the rule by which a phase gives way to another."""
    for rule in phase.rules:
        if isinstance(rule, kind) and rule.then == then:
            return rule.level
    raise InputRefused(
        f"a charge map must have a phase {phase.name!r} that gives way to {then!r} at a level, got none; "
        "run the full engine for such a circuit"
    )


def _seconds(phase: Phase) -> float:
    return max((rule.seconds for rule in phase.rules if isinstance(rule, After)), default=0.0)


def _with_phases(governor: Governor, *phases: Phase) -> Governor:
    return replace(governor, phases=(*governor.phases, *phases))


def _firsts(control: Governed) -> Phases:
    return {g.name: g.phases[0].name for g in control.governors}


def _coil_settling(netlist: Netlist) -> float:
    """Time in which emptied coils and their dampers have settled."""
    coils = [part for part in netlist.of(Inductor) if part.stage == "supply" and part.damper_ohms]
    return SETTLINGS * max((part.henries / (part.damper_ohms or 1.0) for part in coils), default=0.0)


def _charger_plan(netlist: Netlist, control: Governed, charger: Governor) -> Plan:
    """Sections at the opening of the switch, or at its closing where that waits for an empty coil."""
    full, look = _phase(charger, "full"), _phase(charger, "look")
    empties = any(phase.name == "emptying" for phase in charger.phases)
    key = "off"
    if empties:
        key, charger = ANEW, _anew(charger)
    others = {name: phase for name, phase in _firsts(control).items() if name != CHARGER}

    def chart(name: str, phase: str, **more: object) -> Chart:
        return Chart(name=name, kind=sk.MARKED, begins={CHARGER: phase} | others, needs=others, **more)  # type: ignore[arg-type]

    charts = [
        chart("cycle", key, rule=BY_START, follows=(0, 1, 1)),
        replace(
            chart("full", HOLD, rule=CUT, release=_level(full, Below, "look")),
            kind=sk.HELD,
            follows=(0 if empties else 2, 1, 1),
            when_struck={CHARGER: "full"},
            when_shorted={CHARGER: "full"},
        ),
    ]
    if not empties:
        charts.append(chart("begin", "on"))
    return Plan(
        control=_replaced(control, _with_phases(charger, Phase(name=HOLD))),
        charts=tuple(charts),
        marks=(
            Mark(chart=0, governor=CHARGER, phase=key),
            Mark(chart=1, governor=CHARGER, phase="full", fresh=False, wait=_coil_settling(netlist)),
        ),
        start=len(charts) - 1 if not empties else 0,
        full=1,
        top=_level(look, Above, "full"),
        coil_limit=_level(_phase(charger, "on"), Above, "off"),
    )


def _led(phase: Phase, old: str, new: str) -> Phase:
    """A phase that gives way to another one than it did."""
    rules = tuple(replace(rule, then=new) if rule.then == old else rule for rule in phase.rules)
    return replace(phase, rules=rules)


def _anew(charger: Governor) -> Governor:
    """Charger whose closing on an emptied coil is a phase of its own.

    After a spark, or where its store was full, it may close on a coil that still carries something.
    """
    look, on = _phase(charger, "look"), _phase(charger, "on")
    phases = tuple(
        _led(phase, "look", EMPTIED) if phase.name == "emptying" else phase for phase in charger.phases
    )
    emptied = replace(_led(look, "on", ANEW), name=EMPTIED)
    return replace(charger, phases=(*phases, emptied, replace(on, name=ANEW)))


def _replaced(control: Governed, *changed: Governor) -> Governed:
    new = {g.name: g for g in changed}
    return Governed(governors=tuple(new.get(g.name, g) for g in control.governors))


def _pulse_plan(control: Governed, named: dict[str, Governor]) -> Plan:
    """Sections where the generator begins to wait for an ignition, and where it begins to pause."""
    pulse, train = named[PULSE], named.get(TRAIN)
    changed = [pulse]
    begins, shorted = _firsts(control), dict[str, str]()
    times: tuple[float, float] | None = None
    if train is not None:
        times = (_seconds(_phase(train, "run")), _seconds(_phase(train, "rest")))
        on: Rule = WhenIn(governor=TRAIN, phase=RUN_ON, then="waiting")
        phases = tuple(replace(p, rules=(*p.rules, on)) if p.name == "ready" else p for p in pulse.phases)
        changed = [
            replace(pulse, phases=phases),
            _with_phases(train, Phase(name=RUN_ON), Phase(name=REST_ON)),
        ]
        begins, shorted = begins | {TRAIN: RUN_ON}, {TRAIN: "run"}
    charts = [
        Chart(
            name="waiting",
            kind=sk.MARKED,
            begins=begins | {PULSE: "waiting"},
            needs={},
            when_shorted=shorted,
            follows=(1, 1, 1),
        ),
        Chart(
            name="pause",
            kind=sk.MARKED,
            begins=begins | {PULSE: "pause"},
            needs={},
            when_shorted=shorted,
            dead=True,
        ),
    ]
    if train is not None:
        resting = begins | {PULSE: "ready", TRAIN: REST_ON}
        charts.append(
            Chart(
                name="rest",
                kind=sk.HELD,
                begins=resting,
                needs={},
                when_struck=shorted,
                when_shorted=shorted,
                follows=(2, 2, 2),
                dead=True,
            )
        )
    return Plan(
        control=_replaced(control, *changed),
        charts=tuple(charts),
        marks=(
            Mark(chart=0, governor=PULSE, phase="waiting"),
            Mark(chart=1, governor=PULSE, phase="pause", ends_return=False),
        ),
        bus=True,
        averaged="current" in named,
        leak_limit=0.95 * _level(_phase(pulse, "waiting"), Above, "burning"),
        longest_pulse=_seconds(_phase(pulse, "burning")) + _seconds(_phase(pulse, "pause")),
        train=times,
    )


def _free_plan(control: Governed) -> Plan:
    """Any instant is a section at which all governors are where they begin."""
    firsts = _firsts(control)
    first = control.governors[0]
    return Plan(
        control=control,
        charts=(Chart(name="charging", kind=sk.FREE, begins=firsts, needs=firsts),),
        marks=(Mark(chart=0, governor=first.name, phase=first.phases[0].name, fresh=False),),
    )
