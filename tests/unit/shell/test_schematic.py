"""Schematics: every part is drawn once, where its nodes are, and no symbol stands on another."""

import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from gapwright.circuit.network.elements import Inductor, Resistor, VoltageSource
from gapwright.circuit.network.magnetics import Piece
from gapwright.circuit.network.netlist import Netlist
from gapwright.rig.reading import rig_from_text
from gapwright.shell.figures.schematic import schematic
from gapwright.shell.figures.schematic_layout import laid_out, node_order
from gapwright.study.generator.generator_alone import generator_bench
from gapwright.study.generator.network import network
from tests.unit.rig.samples import FIRST, SECOND, sample

EXAMPLES = Path(__file__).resolve().parents[3] / "examples"
KINDS = ("flyback", "iso-pulse", "current-source", "own-circuit", FIRST, SECOND)
SVG = "{http://www.w3.org/2000/svg}"


def circuit(name: str) -> Netlist:
    if name in (FIRST, SECOND):
        text = sample(name)
    else:
        text = (EXAMPLES / f"{name}.rig.toml").read_text(encoding="utf-8")
    return network(generator_bench(rig_from_text(text, name)))[0]


@pytest.mark.parametrize("name", KINDS)
def test_every_part_is_drawn_once_with_its_name_and_value(name: str) -> None:
    netlist = circuit(name)
    drawing = ET.fromstring(schematic(netlist))
    groups = [g for g in drawing.iter(f"{SVG}g") if "data-part" in g.attrib]
    assert sorted(g.attrib["data-part"] for g in groups) == sorted(netlist.names)
    for group in groups:
        texts = ["".join(text.itertext()) for text in group.iter(f"{SVG}text")]
        assert texts[0] == group.attrib["data-part"]
        assert texts[1]


@pytest.mark.parametrize("name", KINDS)
def test_no_symbol_stands_on_another(name: str) -> None:
    layout = laid_out(circuit(name))
    places = [placed.middle for placed in layout.parts]
    for k, (x, y) in enumerate(places):
        assert 0.0 < x < layout.width
        assert 0.0 < y < layout.height
        assert all(abs(x - a) >= 60.0 or abs(y - b) >= 45.0 for a, b in places[:k])


def test_watts_and_heat_are_written_and_shaded() -> None:
    text = schematic(circuit(FIRST), values={"store": "1.2 W"}, shade={"store": 1.0, "gap": 0.5})
    assert ">1.2 W<" in text
    assert text.count("fill-opacity") == 2
    assert "fill-opacity" not in schematic(circuit(FIRST))


def test_coils_on_one_core_are_joined_and_one_that_saturates_has_a_core() -> None:
    assert "one core, k = 0.985" in schematic(circuit("flyback"))
    heat = {"stage": "supply", "account": "heat"}
    plain = Inductor(name="coil", start="in", end="0", henries=1e-4, damper_ohms=1e5, **heat)
    bent = Inductor(
        name="coil",
        start="in",
        end="0",
        henries=1e-4,
        damper_ohms=1e5,
        pieces=(Piece(amperes=1.0, henries=2e-5),),
        **heat,
    )
    drawn = [
        schematic(
            Netlist(
                elements=(
                    VoltageSource(name="<V>", start="in", end="0", volts=1.0, **heat),
                    Resistor(name="r", start="in", end="0", ohms=1.0, **heat),
                    coil,
                )
            )
        )
        for coil in (plain, bent)
    ]
    assert len(drawn[1]) > len(drawn[0])
    assert "&lt;V&gt;" in drawn[0]


def test_a_node_stands_near_those_that_parts_join_it_to() -> None:
    order = node_order(circuit("flyback"))
    assert abs(order.index("clamp") - order.index("switched")) <= 2
    assert sorted(order) == sorted(circuit("flyback").nodes)
