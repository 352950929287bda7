"""What ignites a rig's sparks, in words, and what a liquid would change."""

from dataclasses import replace

import pytest

from gapwright.rig.reading import rig_from_text
from gapwright.rig.setup import Liquid
from gapwright.study.forecast.ignition import ignition_in_words, what_a_liquid_changes
from tests.unit.rig.samples import sample
from tests.unit.study.benches import DRY, FIRST, SECOND, demo

OWN_FIELD = """
[priors.contact-field]
median = "300 V/um"
status = "measured"
"""


def dry(volts, **rig):
    return demo(DRY, {"supply.voltage": volts, **{key.replace("__", "."): v for key, v in rig.items()}})


@pytest.mark.parametrize(
    "made", [demo(DRY), demo(FIRST), demo(SECOND), dry(320.0), dry(390.0)], ids=lambda m: f"{m.ceiling:.0f} V"
)
def test_the_last_full_stop_is_left_to_the_page(made):
    assert not ignition_in_words(made, 8e-6).endswith(".")


def test_a_liquid_breaks_down_across_the_working_gap():
    said = ignition_in_words(demo(FIRST), 8e-6)
    assert said.startswith("The deionised water breaks down across the working gap: 70 V")
    assert "up to about 12 µm (6 V/µm)" in said
    assert "settles near 8 µm, 8.7 V/µm" in said


@pytest.mark.parametrize("gap", [None, 0.0])
def test_an_unknown_gap_is_not_spoken_of(gap):
    assert "settles" not in ignition_in_words(demo(FIRST), gap)


def test_oil_has_its_own_field():
    made = demo(FIRST, {"setup.liquid": Liquid(name="erosion-oil", cover=0.05), "supply.voltage": 100.0})
    assert "up to about 10 µm (10 V/µm)" in ignition_in_words(made, None)


@pytest.mark.parametrize(("volts", "bridged"), [(44.0, True), (46.0, False)])
def test_below_forty_five_volts_bridges_start_the_sparks(volts, bridged):
    made = demo(FIRST, {"supply.voltage": volts, "generator.bleeder": None})
    assert ignition_in_words(made, 8e-6).startswith("Bridge-dominated") is bridged


@pytest.mark.parametrize(
    ("volts", "words"),
    [
        (48.0, "Contact ignites the sparks"),
        (299.0, "Contact ignites the sparks"),
        (301.0, "Air breaks down just before the faces touch"),
        (329.0, "Air breaks down just before the faces touch"),
        (331.0, "Air breaks down across the gap"),
    ],
)
def test_what_ignites_in_air(volts, words):
    assert ignition_in_words(dry(volts), None).startswith(words)


def test_contact_sparks_name_gap_loop_and_least_arc():
    said = ignition_in_words(dry(48.0), None)
    assert "48 V jumps only about 320 nm" in said
    assert "The loop's 600 nH lets an arc form" in said
    assert said.endswith("An arc needs at least 12.8 V and 430 mA")


@pytest.mark.parametrize(("henries", "forms"), [(2.6e-6, True), (2.7e-6, False)])
def test_a_long_loop_leaves_only_the_exploding_neck(henries, forms):
    said = ignition_in_words(dry(48.0, leads__inductance=henries), None)
    assert ("lets an arc form" in said) is forms
    assert ("only a neck that touches and explodes makes a spark" in said) is not forms


def test_the_neck_that_the_store_melts_is_told_where_the_metal_is_known():
    assert "the full store melts one up to 26 µm across" in ignition_in_words(demo(DRY), None)
    assert "across)" not in ignition_in_words(dry(48.0, setup__electrode__material="graphite"), None)


def test_the_rigs_own_field_is_used():
    own = rig_from_text(sample("dry-start.rig.toml") + OWN_FIELD, "own")
    assert "48 V jumps only about 160 nm" in ignition_in_words(replace(demo(DRY), rig=own), None)


def test_a_liquid_widens_the_gap_and_takes_more():
    said = what_a_liquid_changes(demo(DRY))
    assert "a gap about 25 times wider in water" in said
    assert "about 21 times the metal (4 against 0.19 mm³ for each kilojoule)" in said
    assert "only some 20 % of sparks remove (5 to 60 %), which leaves about 4 times overall" in said
    assert "at most 30 V instead of 60 V" in said
    assert "at least 40 mm over the spark and a flash point above 100 °C" in said


@pytest.mark.parametrize(
    ("volts", "words"),
    [
        (34.0, "But 34 V is too low for it: water needs more than 35 V."),
        (40.0, "At 40 V bridges of debris would start most sparks; above 45 V the field does."),
        (48.0, "48 V is enough for it."),
    ],
)
def test_a_liquid_needs_its_own_voltage(volts, words):
    assert words in what_a_liquid_changes(dry(volts))


def test_a_wet_rig_has_its_liquid():
    assert what_a_liquid_changes(demo(FIRST)) == ""
