"""A schematic as a picture."""

import io

import numpy as np
import pytest
from PIL import Image

from gapwright.rig.reading import rig_from_text
from gapwright.shell.figures.rastered import path_of, svg_as_png
from gapwright.shell.figures.schematic import schematic
from gapwright.study.generator.generator_alone import generator_bench
from gapwright.study.generator.network import network
from gapwright.wiring import demo_text
from tests.house.code import ROOT

EXAMPLES = sorted((ROOT / "examples").glob("*.rig.toml"))


def netlist_of(text):
    return network(generator_bench(rig_from_text(text)))[0]


@pytest.mark.parametrize("place", EXAMPLES, ids=lambda place: place.name)
def test_every_kind_is_drawn(place):
    svg = schematic(netlist_of(place.read_text(encoding="utf-8")))
    picture = Image.open(io.BytesIO(svg_as_png(svg))).convert("L")
    width, height = (float(svg.split(f' {name}="')[1].split('"')[0]) for name in ("width", "height"))
    assert picture.width == pytest.approx(2.0 * width, rel=2e-3)
    assert picture.height == pytest.approx(2.0 * height, rel=5e-3)
    ink = np.mean(np.asarray(picture) < 128)
    assert 0.002 < ink < 0.2


def test_shade_makes_a_part_darker():
    netlist = netlist_of(demo_text("first-build.rig.toml"))
    plain, warm = (
        np.asarray(Image.open(io.BytesIO(svg_as_png(schematic(netlist, shade=shade)))).convert("L"))
        for shade in (None, {"charging resistor": 1.0})
    )
    assert warm.shape == plain.shape
    assert 500 < np.count_nonzero(warm < plain.astype(int) - 20) < 0.1 * warm.size


def test_a_path_goes_where_svg_says():
    way = path_of("M0 0H12M24 -6v12h-3l1 -2a5 5 0 0 1 10 0Z")
    assert way.vertices[1].tolist() == [12.0, 0.0]
    assert way.vertices[2:6].tolist() == [[24.0, -6.0], [24.0, 6.0], [21.0, 6.0], [22.0, 4.0]]
    assert way.vertices[9].tolist() == pytest.approx([27.0, -1.0])  # top of the bump
    assert way.vertices[-2].tolist() == pytest.approx([32.0, 4.0])
