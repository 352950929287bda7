"""A circuit of the user's own, as the engine takes it."""

from collections.abc import Callable

from gapwright.base.errors import InputRefused
from gapwright.circuit.control import control as controls
from gapwright.circuit.control import governor
from gapwright.circuit.control.governor import Governed
from gapwright.circuit.control.spark_loop import COIL, GAP, LEAD, STORE, SUPPLY, GapLoop
from gapwright.circuit.network import elements
from gapwright.circuit.network.magnetics import Coupling, Piece
from gapwright.circuit.network.mna import GapState
from gapwright.circuit.network.netlist import Netlist
from gapwright.rig import netlist_control as texts
from gapwright.rig import netlist_file as file
from gapwright.rig.netlist_file import NetlistGenerator

GAP_STATES = {"open": GapState.OPEN, "arc": GapState.ARC, "short": GapState.SHORT}
COUNTED = "charge of "
"""Name of the counter of a part's charge, before that of the part."""


def own_network(generator: NetlistGenerator, gap: GapLoop) -> tuple[Netlist, controls.Control]:
    """Circuit and control of a generator of the user's own.

    Parameters
    ----------
    generator
        Its parts and what works its switches.
    gap
        What burns in the gap.
    """
    called = _called(generator)
    # Once under the names of the file, so that a fault is told in them.
    _netlist(generator, gap, lambda name: name)
    return _netlist(generator, gap, called), _control(generator, called)


def _netlist(generator: NetlistGenerator, gap: GapLoop, called: "Called") -> Netlist:
    """Circuit whose parts are called as `called` has it."""
    played = generator.roles
    return Netlist(
        elements=tuple(_element(called(name), part, gap) for name, part in generator.parts.items()),
        store=called(played.store),
        coil=called(played.coil) if played.coil else "",
        couplings=tuple(
            Coupling(first=called(c.first), second=called(c.second), coefficient=c.coefficient)
            for c in generator.couplings.values()
        ),
        counters=tuple(
            elements.ChargeCounter(name=COUNTED + part, part=part) for part in _counted(generator, called)
        ),
    )


Called = Callable[[str], str]
"""Name in the circuit of a part of the file."""


def _called(generator: NetlistGenerator) -> Called:
    """Names in the circuit: those of the file, but a part that plays store, gap or coil is called by that."""
    played = generator.roles
    roles = {
        played.store: STORE,
        played.gap: GAP,
        played.coil: COIL,
        played.supply: SUPPLY,
        played.lead: LEAD,
    }
    for name in generator.parts:
        if name in (STORE, GAP, COIL, SUPPLY, LEAD) and roles.get(name, "") != name:
            raise InputRefused(
                f"generator.parts.{name} must not be called so unless it plays that, got another part; "
                "call it otherwise"
            )
    return lambda name: roles.get(name, name)


def _element(name: str, part: file.Part, gap: GapLoop) -> elements.Element:
    heading = {"start": part.between[0], "end": part.between[1], "stage": part.stage, "account": name}
    match part:
        case file.ResistorPart():
            return elements.Resistor(name=name, ohms=part.resistance, **heading)
        case file.SwitchPart():
            return elements.Switch(
                name=name,
                on_ohms=part.on_resistance,
                off_ohms=part.off_resistance,
                start=part.between[0],
                end=part.between[1],
                stage=part.stage,
                account=name,
            )
        case file.VoltagePart():
            return elements.VoltageSource(name=name, volts=part.voltage, **_drawn(heading))
        case file.CurrentPart():
            return elements.CurrentSource(name=name, amperes=part.current, **_drawn(heading))
        case file.GapPart():
            return _gap(name, part, gap)
        case _:
            return _storing(name, part)


def _drawn(heading: dict[str, str]) -> dict[str, str]:
    """Sources of the supply are booked as drawn from it."""
    return heading | {"account": "drawn from supply"}


def _storing(name: str, part: file.CapacitorPart | file.InductorPart | file.DiodePart) -> elements.Element:
    start, end = part.between
    match part:
        case file.CapacitorPart():
            return elements.Capacitor(
                name=name,
                start=start,
                end=end,
                farads=part.capacitance,
                series_ohms=part.esr,
                stage=part.stage,
                account=name,
            )
        case file.InductorPart():
            return elements.Inductor(
                name=name,
                start=start,
                end=end,
                henries=part.inductance,
                damper_ohms=part.damper,
                pieces=tuple(Piece(amperes=b.current, henries=b.inductance) for b in part.bends),
                stage=part.stage,
                account=name,
            )
        case file.DiodePart():
            return elements.Diode(
                name=name,
                start=start,
                end=end,
                drop_volts=part.drop,
                on_ohms=part.resistance,
                off_ohms=part.off_resistance,
                storage_seconds=part.storage_time,
                stage=part.stage,
                account=name,
            )


def _gap(name: str, part: file.GapPart, gap: GapLoop) -> elements.Gap:
    return elements.Gap(
        name=name,
        start=part.between[0],
        end=part.between[1],
        leak_siemens=gap.leak_siemens,
        arc_volts=gap.arc_volts,
        arc_ohms=gap.arc_ohms,
        hold_amperes=gap.hold_amperes,
        recovery_seconds=gap.recovery_seconds,
        restrike_volts=part.restrike_voltage or 0.0,
        short_ohms=gap.short_ohms,
        stage=part.stage,
        account="discharge",
    )


def _rules(generator: NetlistGenerator) -> list[texts.RuleText]:
    control = generator.control
    if not isinstance(control, texts.Governors):
        return []
    return [rule for g in control.governors.values() for phase in g.phases.values() for rule in phase.rules]


def _counted(generator: NetlistGenerator, called: Called) -> tuple[str, ...]:
    """Parts whose charge a rule watches, each once."""
    return tuple(dict.fromkeys(called(rule.of) for rule in _rules(generator) if rule.watch == "charge"))


def _control(generator: NetlistGenerator, called: Called) -> controls.Control:
    given = generator.control
    match given:
        case texts.NoControl():
            return controls.NoControl()
        case texts.Clock():
            return controls.FixedOnTime(
                switch=called(given.switch), period=given.period, on_time=given.on_time
            )
        case texts.CurrentLimited():
            return controls.PeakCurrent(
                switch=called(given.switch),
                limit=given.limit,
                minimum_off_time=given.minimum_off_time,
                voltage_limit=given.voltage_limit,
                hysteresis=given.hysteresis,
            )
        case texts.Governors():
            return Governed(
                governors=tuple(
                    governor.Governor(
                        name=name,
                        phases=tuple(_phase(key, phase, called) for key, phase in text.phases.items()),
                    )
                    for name, text in given.governors.items()
                )
            )


def _phase(name: str, text: texts.PhaseText, called: Called) -> governor.Phase:
    return governor.Phase(
        name=name,
        closes=tuple(called(switch) for switch in text.closes),
        rules=tuple(_rule(rule, called) for rule in text.rules),
        zeroes=COUNTED + called(text.zeroes) if text.zeroes else "",
    )


def _rule(text: texts.RuleText, called: Called) -> governor.Rule:
    if text.above is not None or text.below is not None:
        counted = COUNTED if text.watch == "charge" else ""
        watched = text.of if text.watch == "node" else called(text.of)
        sensor = governor.Sensor(quantity=text.watch or "volts", name=counted + watched)
        kind = governor.Above if text.above is not None else governor.Below
        return kind(sensor=sensor, level=text.level, then=text.then)
    if text.after is not None:
        return governor.After(seconds=text.after, then=text.then)
    if text.every is not None:
        return governor.OnClock(period=text.every, then=text.then)
    if text.gap is not None:
        return governor.WhenGap(state=GAP_STATES[text.gap], then=text.then)
    return _look(text)


def _look(text: texts.RuleText) -> governor.WhenIn:
    """Rule that looks at another governor's phase."""
    whole = text.in_phase or text.not_in_phase
    other, slash, phase = whole.partition("/")
    if not slash:
        raise InputRefused(
            f'a phase of another governor must be written "governor/phase", got {whole!r}; put the slash in'
        )
    return governor.WhenIn(governor=other, phase=phase, then=text.then, not_in=not text.in_phase)
