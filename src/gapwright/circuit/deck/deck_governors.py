"""Lines of a deck for governors: each phase is a node at 1 V while its governor is in it.

A phase holds itself; a rule of it that acts brings it down and the phase that
follows up, in the same few nanoseconds, so a governor is always in one. What a
rule watches goes to a comparator, whose switching the simulator finds to the
step; times are the voltage of a capacitor that starts anew with each phase.
"""

from collections.abc import Iterator

from gapwright.base.errors import InputRefused
from gapwright.circuit.control.governor import (
    Above,
    After,
    Below,
    Governed,
    Governor,
    OnClock,
    Phase,
    Rule,
    WhenGap,
    WhenIn,
)
from gapwright.circuit.deck.deck_sight import burns_node, counter_node, current, label, number, seen
from gapwright.circuit.engine.arrays import Start
from gapwright.circuit.network.elements import Gap, Switch
from gapwright.circuit.network.mna import GapState
from gapwright.circuit.network.netlist import Netlist
from gapwright.circuit.network.states import COUNTER_SECONDS

CHANGE = 2e-9
"""Time constant with which a phase gives way to another. [s]"""
TICK = 20e-9
"""How long the tick of a clock is seen. [s]"""
SLACK = 1e-5
"""Hysteresis of comparators, as a share of the level."""
RISING = 0.1
"""Rise of a phase's node over itself a little before, while which a counter is emptied. [V]"""
MICRO = 1e6
COMPARATOR = "comparator_"
BEGINS = "begins_"
"""Node at 1 V for an instant, in which every governor is put in its first phase."""


def governor_switches(control: Governed) -> dict[str, str]:
    """Node that works each switch of the governors."""
    return {name: f"works_{label(name)}_" for g in control.governors for name in g.switches}


def governor_parts(control: Governed, netlist: Netlist) -> frozenset[str]:
    """Parts whose current governors and their counters look at."""
    sensors = [rule.sensor for _, _, rule in _rules(control) if isinstance(rule, Above | Below)]
    watched = {sensor.name for sensor in sensors if sensor.quantity == "amperes"}
    return frozenset(watched | {counter.part for counter in netlist.counters})


def _rules(control: Governed) -> Iterator[tuple[Governor, Phase, Rule]]:
    for governor in control.governors:
        for phase in governor.phases:
            for rule in phase.rules:
                yield governor, phase, rule


def _place(governor: str, phase: str) -> str:
    """Node of a phase."""
    return f"in_{label(governor)}_{label(phase)}_"


def governor_lines(control: Governed, netlist: Netlist, start: Start) -> list[str]:
    """All that works the switches of a circuit with governors.

    Raises
    ------
    InputRefused
        If a phase leads to itself or two are one by their letters and digits.
    """
    _require_distinct(control)
    lines = [
        "Vone_ one_ 0 1",
        f"V{BEGINS} {BEGINS} 0 pwl(0 1 {number(TICK)} 1 {number(1.1 * TICK)} 0)",
        f".model {COMPARATOR} sw(vt=0 vh={number(SLACK)} ron=1 roff=1e9)",
    ]
    for governor in control.governors:
        lines.append(f"* governor: {governor.name}")
        first = start.phases.get(governor.name, governor.phases[0].name)
        for phase in governor.phases:
            lines += _phase_lines(governor, phase, netlist, start, at_first=phase.name == first)
    for counter in netlist.counters:
        flow = current(netlist, counter.part, start.gap)
        lines += _counter_lines(control, counter.name, flow, start)
    return [*lines, *_switch_lines(control, netlist)]


def _require_distinct(control: Governed) -> None:
    places = [_place(g.name, phase.name) for g in control.governors for phase in g.phases]
    for place in places:
        if places.count(place) > 1:
            raise InputRefused(
                f"phases must differ in letters and digits, got two that are {place!r}; rename one"
            )
    for governor, phase, rule in _rules(control):
        if rule.then == phase.name:
            raise InputRefused(
                f"a phase must lead to another in a deck, got {phase.name!r} of {governor.name!r} that leads "
                "to itself; put a phase between"
            )


def _acts(rule: Rule, name: str, netlist: Netlist, gap: GapState) -> str:
    """Condition under which a rule of the present phase acts."""
    match rule:
        case Above() | Below() | After():
            return f"(v({name}_says_)>0.5)"
        case OnClock():
            return f"(v({name}_tick_)>0.5)"
        case WhenGap():
            if GapState.SHORT in (rule.state, gap):
                return "1" if rule.state is gap else "0"
            burns = burns_node(netlist.of(Gap)[0])
            return f"(v({burns}){'>' if rule.state is GapState.ARC else '<'}0.5)"
        case WhenIn():
            return f"(v({_place(rule.governor, rule.phase)}){'<' if rule.not_in else '>'}0.5)"


def _rule_name(governor: Governor, phase: Phase, count: int) -> str:
    return f"{label(governor.name)}_{label(phase.name)}_{count}"


def _requests(governor: Governor, phase: Phase, netlist: Netlist, gap: GapState) -> Iterator[tuple[str, str]]:
    """Phases that the rules of a phase ask for, and when; the first rule that acts is heard."""
    before: list[str] = [f"(v({_place(governor.name, phase.name)})>0.25)"]
    for count, rule in enumerate(phase.rules):
        acts = _acts(rule, _rule_name(governor, phase, count), netlist, gap)
        if isinstance(rule, Above | Below) and rule.sensor.name == phase.zeroes:
            acts = f"{acts}*(1-{_is_emptying(_place(governor.name, phase.name))})"
        if acts != "0":
            yield rule.then, "*".join([*before, acts])
            before.append(f"(1-{acts})")


def _is_emptying(place: str) -> str:
    """Condition under which a phase has just begun, so that the counter that it zeroes is being emptied."""
    return f"(v({place})-v({place}before_)>{RISING:g})"


def _phase_lines(
    governor: Governor, phase: Phase, netlist: Netlist, start: Start, *, at_first: bool
) -> list[str]:
    """Node of a phase, its rules' comparators and its timer."""
    node = _place(governor.name, phase.name)
    comes = [
        when
        for p in governor.phases
        for then, when in _requests(governor, p, netlist, start.gap)
        if then == phase.name
    ]
    goes = [when for _, when in _requests(governor, phase, netlist, start.gap)]
    stays = f"(v({node})>0.5)"
    if goes:
        stays += f"*(({'+'.join(goes)})<0.5)"
    wish = f"({'+'.join(comes)})>0.5 ? 1 : {stays}" if comes else stays
    lines = [
        f"B{node} {node}wish_ 0 v=v({BEGINS})>0.5 ? {int(at_first)} : ({wish})",
        f"R{node} {node}wish_ {node} 1000",
        f"C{node} {node} 0 {number(CHANGE / 1000.0)} ic={int(at_first)}",
    ]
    times = [rule.seconds for rule in phase.rules if isinstance(rule, After)]
    if times:
        lines += _timer_lines(node, max(times))
    for count, rule in enumerate(phase.rules):
        name = _rule_name(governor, phase, count)
        lines += _comparator_lines(rule, name, netlist, start.gap, node, max(times, default=1.0))
    return lines


def _timer_lines(node: str, longest: float) -> list[str]:
    """Capacitor that rises to 1 V in the longest time of a phase, and is held empty outside it."""
    return [
        f"B{node}timer 0 {node}timer_ i=v({node})>0.5 ? 1 : -v({node}timer_)*{number(longest / CHANGE)}",
        f"C{node}timer {node}timer_ 0 {number(longest)} ic=0",
    ]


def _comparator_lines(
    rule: Rule, name: str, netlist: Netlist, gap: GapState, node: str, longest: float
) -> list[str]:
    match rule:
        case Above() | Below():
            level = rule.level * (MICRO if rule.sensor.quantity == "charge" else 1.0)
            scale = 1.0 / max(abs(level), 1e-3)
            sign = "" if isinstance(rule, Above) else "-"
            above = f"{sign}{number(scale)}*({seen(netlist, rule.sensor, gap)}-{_bracketed(level)})"
        case After():
            above = f"v({node}timer_)-{number(rule.seconds / longest)}"
        case OnClock():
            pulse = f"pulse(0 1 {number(rule.first)} 1n 1n {number(TICK)} {number(rule.period)})"
            return [f"V{name}_tick {name}_tick_ 0 {pulse}"]
        case _:
            return []
    return [
        f"B{name}_is {name}_is_ 0 v={above}",
        f"R{name}_sees {name}_is_ {name}_sees_ 1000",
        f"C{name}_sees {name}_sees_ 0 {number(CHANGE / 1000.0)} ic=0",
        f"S{name}_says one_ {name}_says_ {name}_sees_ 0 {COMPARATOR} off",
        f"R{name}_says {name}_says_ 0 1e5",
    ]


def _bracketed(value: float) -> str:
    return number(value) if value >= 0 else f"({number(value)})"


def _counter_lines(control: Governed, name: str, flow: str, start: Start) -> list[str]:
    """Capacitor that counts microcoulombs; it is emptied while a phase that zeroes it rises."""
    node = counter_node(name)
    rising = [
        _place(g.name, phase.name) for g in control.governors for phase in g.phases if phase.zeroes == name
    ]
    lines = [f"C{node} {node} 0 1 ic={number(MICRO * start.values.get(name, 0.0))}"]
    lines.append(f"R{node} {node} 0 {number(COUNTER_SECONDS)}")
    emptied = []
    for place in rising:
        lines += [f"B{place}near {place}near_ 0 v=v({place})"]
        lines += [f"R{place}before {place}near_ {place}before_ 1000"]
        lines += [f"C{place}before {place}before_ 0 {number(2.0 * CHANGE / 1000.0)} ic=0"]
        emptied.append(_is_emptying(place))
    flows = f"{number(MICRO)}*{flow}"
    if emptied:
        flows = f"({'+'.join(emptied)})>0.5 ? -v({node})/{number(0.25 * CHANGE)} : {flows}"
    return [*lines, f"B{node} 0 {node} i={flows}"]


def _switch_lines(control: Governed, netlist: Netlist) -> list[str]:
    """Node of each worked switch: at 1 V while a phase is on that closes it."""
    nodes, lines = governor_switches(control), []
    for switch in netlist.of(Switch):
        if switch.name not in nodes:
            continue
        closing = [
            f"v({_place(g.name, phase.name)})"
            for g in control.governors
            for phase in g.phases
            if switch.name in phase.closes
        ]
        lines.append(f"B{nodes[switch.name]} {nodes[switch.name]} 0 v={'+'.join(closing)}")
    return lines
