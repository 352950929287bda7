import pytest

from gapwright.base.errors import InputRefused
from gapwright.circuit.network.elements import (
    Capacitor,
    CurrentSource,
    Diode,
    Gap,
    Inductor,
    Resistor,
    Switch,
    VoltageSource,
)
from gapwright.circuit.network.netlist import Netlist
from tests.two_generators import relaxation, step_up


def resistor(name: str, start: str, end: str, ohms: float = 10.0) -> Resistor:
    return Resistor(name=name, start=start, end=end, ohms=ohms, stage="supply", account="heat")


def source(name: str = "source", start: str = "in", end: str = "0") -> VoltageSource:
    return VoltageSource(name=name, start=start, end=end, volts=12.0, stage="supply", account="drawn")


def capacitor(name: str, start: str, end: str, series_ohms: float = 0.0) -> Capacitor:
    return Capacitor(
        name=name, start=start, end=end, farads=1e-6, series_ohms=series_ohms, stage="store", account="heat"
    )


def coil(**changes) -> Inductor:
    given = {"name": "coil", "start": "in", "end": "0", "henries": 1e-4, "damper_ohms": 1e5}
    return Inductor(**{**given, **changes}, stage="supply", account="damping")


def gap(name: str = "gap", start: str = "in", **changes) -> Gap:
    given = {
        "leak_siemens": 0.0,
        "arc_volts": 20.0,
        "arc_ohms": 0.05,
        "hold_amperes": 0.0,
        "short_ohms": 0.02,
    }
    return Gap(name=name, start=start, end="0", **{**given, **changes}, stage="spark", account="discharge")


def diode(name: str, **changes) -> Diode:
    given = {"start": "in", "end": "0", "drop_volts": 0.7, "on_ohms": 0.05, "off_ohms": 1e7}
    return Diode(name=name, **{**given, **changes}, stage="supply", account="diode")


@pytest.mark.parametrize(
    ("elements", "message"),
    [
        ((source(), resistor("r", "in", "b")), r"node 'b' must join two parts, got r alone"),
        (
            (source(), resistor("r", "in", "0"), resistor("x", "a", "b"), capacitor("c", "a", "b")),
            r"node 'a' \(at x\) must have a conducting path to ground, got none; add a large resistor",
        ),
        (
            (gap(start="a"), gap(name="twin", start="a")),
            r"node 'a' \(at gap\) must have a conducting path to ground, got none",
        ),
        (
            (source(start="in", end="b"), resistor("r", "in", "b")),
            r'must touch the ground node "0", got none',
        ),
        (
            (source(), capacitor("c", "in", "0")),
            r"c .* must not close a loop without resistance, got one among source, c; give a capacitor",
        ),
        (
            (
                resistor("r", "a", "0"),
                resistor("s", "b", "0"),
                capacitor("c", "a", "b"),
                capacitor("d", "b", "a"),
            ),
            r"d .* must not close a loop without resistance, got one among c, d",
        ),
        (
            (source(), source("other"), resistor("r", "in", "0")),
            r"other .* must not close a loop without resistance, got one among source, other",
        ),
        ((source(), resistor("r", "in", "0"), resistor("r", "in", "0")), r"name of its own, got 'r' twice"),
        ((source(), gap(), gap(name="gap 2")), r"at most one gap, got 2"),
        (
            (source(), *(diode(f"d{k}") for k in range(15))),
            r"at most 14 diodes, switches and sides of bends, got 15",
        ),
    ],
)
def test_a_circuit_that_cannot_be_solved_is_refused(elements: tuple, message: str) -> None:
    with pytest.raises(InputRefused, match=message):
        Netlist(elements=elements)


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: coil(damper_ohms=0.0), r"coil.damper_ohms must be at least 0.001 Ω, got 0 Ω"),
        (lambda: coil(henries=0.0), r"coil.henries"),
        (
            lambda: resistor("r", "a", "0", 1e-4),
            r"r.ohms must be at least 0.001 Ω, got 0.0001 Ω; a real part",
        ),
        (lambda: resistor("r", "a", "0", float("nan")), r"r.ohms"),
        (lambda: source(start="0"), r"source must lie between two nodes, got '0' at both ends"),
        (
            lambda: source(name=""),
            r"a part must have a name, two nodes and an account, got '' with one empty",
        ),
        (lambda: capacitor("c", "a", "0", 1e-5), r"c.series_ohms must be at least 0.001 Ω"),
        (lambda: gap(arc_volts=-1.0), r"gap.arc_volts"),
        (lambda: diode("d", off_ohms=0.01), r"d.off_ohms must be above on_ohms, got 0.01 Ω and 0.05 Ω"),
        (
            lambda: Switch(
                name="s", start="a", end="0", on_ohms=1.0, off_ohms=1.0, stage="supply", account="transistor"
            ),
            r"s.off_ohms must be above on_ohms",
        ),
        (
            lambda: CurrentSource(
                name="i", start="a", end="0", amperes=float("inf"), stage="supply", account="drawn"
            ),
            r"i.amperes",
        ),
        (
            lambda: Resistor(name="r", start="a", end="0", ohms=1.0, stage="sky", account="heat"),
            r"r.stage must be one of socket, supply, store, leads, spark, got 'sky'",
        ),
    ],
)
def test_a_part_that_cannot_be_is_refused(make, message: str) -> None:
    with pytest.raises(InputRefused, match=message):
        make()


def test_a_leak_makes_a_gap_conduct() -> None:
    leaky = Netlist(elements=(gap(start="a", leak_siemens=1e-6), resistor("r", "a", "0")))
    assert leaky.gap is not None


def test_an_unknown_part_is_named_with_what_is_near() -> None:
    with pytest.raises(InputRefused, match=r"no part 'coill'.*coil"):
        step_up().element("coill")


def test_a_store_is_a_capacitor_and_a_coil_an_inductor() -> None:
    elements = relaxation().elements
    with pytest.raises(InputRefused, match="lead must be a capacitor, got a inductor"):
        Netlist(elements=elements, store="lead")
    with pytest.raises(InputRefused, match="store must be a inductor, got a capacitor"):
        Netlist(elements=elements, coil="store")


def test_a_part_is_exchanged_for_one_of_its_name() -> None:
    other = resistor("charging resistor", "in", "out", 100.0)
    changed = relaxation().with_part(other)
    assert changed.element("charging resistor") is other
    assert changed.names == relaxation().names
    with pytest.raises(InputRefused, match="no part 'spring'"):
        relaxation().with_part(resistor("spring", "in", "out"))


def test_states_are_capacitors_before_inductors() -> None:
    assert [part.name for part in step_up().states] == ["store", "coil", "lead"]
    assert step_up().nodes == ("in", "fed", "switched", "out", "gap")
