"""Parts that only some generators have are held against their ratings too."""

import pytest

from gapwright.rig.reading import rig_from_text
from gapwright.study.generator.generator_alone import generator_alone
from tests.house.code import ROOT
from tests.unit.rig.samples import SECOND, changed

PROTECTED = """[generator.series_switch]
largest_charge = "40 uC"
[generator.series_switch.switch]
on_resistance = "40 mohm"
voltage_rating = "60 V"
current_rating = "10 A"
[generator.reverse_diode]
drop = "0.8 V"
resistance = "20 mohm"
voltage_rating = "50 V"
current_rating = "1 A"

[leads]
"""


def by_quantity(text, name):
    found = generator_alone(rig_from_text(text, name)).findings
    return {(each.part, each.quantity): each for each in found}


@pytest.fixture(scope="module")
def protected():
    return by_quantity(changed(SECOND, "[leads]\n", PROTECTED), "protected")


def test_a_series_switch_bears_the_discharge_of_a_short(protected):
    peak = protected["series switch", "peak current"]
    # 72 V over 300 nH and 0.47 µF peaks at 90 A where nothing damps it.
    assert 0.8 * 72.0 * (0.47e-6 / 300e-9) ** 0.5 < peak.found < 72.0 * (0.47e-6 / 300e-9) ** 0.5
    assert peak.scene == "short"
    assert not peak.within
    assert not protected["series switch", "voltage"].within


def test_a_reverse_diode_blocks_what_the_store_is_charged_to(protected):
    reverse = protected["reverse diode", "reverse voltage"]
    assert 72.0 <= reverse.found < 80.0
    assert not reverse.within
    assert protected["reverse diode", "mean current"].within


def test_a_current_source_s_own_parts_are_rated():
    text = (ROOT / "examples" / "current-source.rig.toml").read_text(encoding="utf-8")
    found = by_quantity(text, "current-source")
    # The gap's diode keeps the ignition's 160 V from the coil.
    assert found["gap diode", "reverse voltage"].found == pytest.approx(160.0, rel=0.02)
    assert found["steering switch", "peak current"].found > 6.5
    assert found["ignition resistor", "power"].limit == 50.0
    assert all(found[key].within for key in found if key[0] in ("gap diode", "steering switch"))
