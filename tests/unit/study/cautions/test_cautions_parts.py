"""Cautions about the generator's parts: each rule raised, and not raised."""

import pytest

from gapwright.study.grounds.outcome import Degree
from tests.unit.study.benches import DRY, FIRST, SECOND, demo, raised

ARC, LEADS, SHORT = "A standing arc is", "may reset it", "no switch can interrupt it"

RATINGS = [
    (FIRST, "The voltage on the store", {"store_volts": 249.0}, {"store_volts": 251.0}),
    (FIRST, "The reversed voltage", {"reverse_volts": -249.0}, {"reverse_volts": -251.0}),
    (
        FIRST,
        "The ripple current",
        {"action_a2s": 0.0159, "spark_rate_hz": 1000.0},
        {"action_a2s": 0.0161, "spark_rate_hz": 1000.0},
    ),
    (FIRST, "The mean heat of the charging", {"charging_resistor_w": 49.0}, {"charging_resistor_w": 51.0}),
    (
        FIRST,
        "while the gap is shorted for good",
        {"short_circuit_current_a": 0.527},
        {"short_circuit_current_a": 0.528},
    ),
    (SECOND, "The coil's current", {"coil_peak_a": 2.9}, {"coil_peak_a": 3.1}),
    (SECOND, "The switch's current", {"coil_peak_a": 19.9}, {"coil_peak_a": 20.1}),
    (SECOND, "The voltage on the open switch", {"store_volts": 149.0}, {"store_volts": 149.5}),
    (SECOND, "The voltage against the diode", {"store_volts": 149.9}, {"store_volts": 150.1}),
    (
        SECOND,
        "The current that a lasting short draws through the diode",
        {"short_circuit_current_a": 4.9},
        {"short_circuit_current_a": 5.1},
    ),
]


@pytest.mark.parametrize(("name", "words", "kept", "broken"), RATINGS)
def test_a_rating_is_kept_and_broken(name, words, kept, broken):
    assert raised(demo(name), words, **kept) is None
    found = raised(demo(name), words, **broken)
    assert found.degree is Degree.CARE
    assert found.source == "the rig file"
    assert found.limit.startswith("at most ")


def test_what_is_reached_and_allowed_is_told():
    found = raised(demo(SECOND), "The coil's current", coil_peak_a=4.2)
    assert "start-up included, reaches 4.2 A, above the coil's saturation current of 3 A" in found.text
    assert found.limit == "at most 3 A, the coil's saturation current"


def test_a_maltreated_electrolytic_is_a_danger():
    assert raised(demo(DRY), "The reversed voltage", reverse_volts=-0.5).degree is Degree.DANGER
    assert raised(demo(DRY), "The voltage on the store", store_volts=64.0).degree is Degree.DANGER


def test_what_feeds_an_arc_counts_against_the_diode_too():
    assert raised(demo(SECOND), "through the diode", feed_into_arc_a=5.1) is not None


def test_a_rig_without_coil_has_no_coil_to_saturate():
    assert raised(demo(FIRST), "coil") is None


def test_a_coil_rig_without_known_peak_raises_nothing_about_it():
    assert raised(demo(SECOND), "The coil's current", coil_peak_a=None) is None


@pytest.mark.parametrize(("current", "degree"), [(2.0, Degree.NOTE), (3.1, Degree.CARE)])
def test_a_short_behind_a_coil_is_not_switched_off(current, degree):
    found = raised(demo(SECOND), SHORT, short_circuit_current_a=current)
    assert found.degree is degree
    assert "from the supply through coil, diode and gap" in found.text


def test_a_resistor_holds_a_short_back():
    assert raised(demo(FIRST), SHORT) is None


@pytest.mark.parametrize(
    ("current", "grade", "degree"),
    [
        (0.0, "unlikely", Degree.NOTE),
        (0.29, "unlikely", Degree.NOTE),
        (0.31, "possible", Degree.CARE),
        (2.9, "possible", Degree.CARE),
        (3.1, "likely", Degree.DANGER),
    ],
)
def test_a_standing_arc_is_graded_and_never_ruled_out(current, grade, degree):
    found = raised(demo(FIRST), ARC, short_circuit_current_a=current, feed_into_arc_a=0.0)
    assert found.text.startswith(f"A standing arc is {grade}")
    assert found.degree is degree
    assert "unlikely below 300 mA, possible to 3 A, likely above" in found.limit


def test_the_unlikely_is_not_called_impossible():
    found = raised(demo(FIRST), ARC, short_circuit_current_a=0.0, feed_into_arc_a=0.0)
    assert "never impossible" in found.text


def test_the_larger_of_short_and_feed_grades_the_arc():
    assert "is possible" in raised(demo(FIRST), ARC, short_circuit_current_a=0.1, feed_into_arc_a=0.5).text


def test_the_cure_suits_the_generator():
    assert "charge through more than 233 Ω" in raised(demo(FIRST), ARC).text
    assert "lower the supply's current limit" in raised(demo(SECOND), ARC).text


@pytest.mark.parametrize(("henries", "told"), [(225e-9, True), (1.1e-6, True), (1.2e-6, False)])
def test_shared_leads(henries, told):
    found = raised(demo(FIRST), LEADS, lead_inductance_h=henries, store_volts=70.0)
    assert (found is not None) is told


def test_the_step_on_the_common_wire_is_told():
    found = raised(demo(FIRST), LEADS, lead_inductance_h=225e-9, store_volts=70.0)
    assert "rises by 200 A/µs" in found.text
    assert "puts 2 V on" in found.text
    assert found.degree is Degree.NOTE


def test_a_store_below_the_burning_voltage_disturbs_nothing():
    assert raised(demo(FIRST), LEADS, store_volts=20.0) is None
