"""Findings about a generator: each raised where it should be, with part, limit, margin and remedy."""

import pytest

from gapwright.base.errors import InputRefused
from gapwright.study.generator.findings import findings
from gapwright.study.generator.findings_arcs import unswitched_path
from gapwright.study.generator.findings_loop import halved_loop
from gapwright.study.generator.generator_alone import generator_bench
from gapwright.study.generator.network import network
from gapwright.study.generator.ratings import ratings
from gapwright.study.generator.scenes import scenes
from gapwright.study.grounds.finding import Held, finding, margin_of
from gapwright.study.grounds.outcome import Degree
from tests.unit.study.benches import DRY, FIRST, SECOND, demo


def found_on(name, **changes):
    made = demo(name, {key.replace("__", "."): value for key, value in changes.items()})
    return findings(made, scenes(*network(made)))


@pytest.fixture(scope="module")
def all_found():
    return {name: found_on(name) for name in (DRY, FIRST, SECOND)}


def one(found, part, quantity):
    (each,) = [each for each in found if (each.part, each.quantity) == (part, quantity)]
    return each


def test_every_finding_names_part_limit_margin_and_remedy(all_found):
    for found in all_found.values():
        assert len({(each.part, each.quantity) for each in found}) == len(found)
        for each in found:
            assert each.part
            assert each.text.endswith(".")
            assert each.remedy.endswith(".")
            assert each.source
            if each.limit is not None:
                assert each.margin is not None
            assert each.within or each.margin < 0.0 or each.degree is not Degree.NOTE


def test_the_gravest_comes_first(all_found):
    order = [Degree.DANGER, Degree.CARE, Degree.NOTE]
    for found in all_found.values():
        ranks = [order.index(each.degree) for each in found]
        assert ranks == sorted(ranks)


def test_surges_exceed_the_design_current_of_a_step_up(all_found):
    for quantity in ("inrush at start-up", "refill surge after a spark"):
        surge = one(all_found[SECOND], "coil", quantity)
        assert surge.limit == pytest.approx(1.01 * 1.5, rel=1e-12)
        assert 2.0 < surge.found < 2.4
        assert not surge.within


def test_saturation_is_judged_by_the_worst_scene(all_found):
    coil = one(all_found[SECOND], "coil", "peak current")
    assert coil.scene == "short"
    assert coil.found > 5.0 * coil.limit > 0.0
    assert one(found_on(SECOND, generator__coil__saturation_current=20.0), "coil", "peak current").within


def test_ripple_is_the_root_of_rate_times_action(all_found):
    ripple, spark = (
        one(all_found[FIRST], *key)
        for key in (("store", "ripple current, r.m.s."), ("gap", "peak current of a spark"))
    )
    assert ripple.within
    assert ripple.found < spark.found


def test_a_lasting_short_of_a_step_up_meets_no_switch(all_found):
    short = one(all_found[SECOND], "gap", "current into a lasting short")
    assert short.found == pytest.approx(2.0, rel=1e-3)
    assert short.limit == 3.0
    path = unswitched_path(network(demo(SECOND))[0])
    assert path[-1] == "lead"
    assert {"coil", "diode"} <= set(path)
    assert "switch" not in path


def test_a_standing_arc_is_graded(all_found):
    words = {
        name: one(found, "gap", "current that feeds a standing arc").text for name, found in all_found.items()
    }
    assert "unlikely" in words[DRY]
    assert "possible" in words[FIRST]
    likely = found_on(FIRST, generator__resistor__resistance=20.0, supply__current_limit=10.0)
    arc = one(likely, "gap", "current that feeds a standing arc")
    assert "likely" in arc.text
    assert arc.degree is Degree.DANGER
    held = one(likely, "gap", "least current of a burning arc")
    assert "The arc is held" in held.text
    assert not held.within


def test_a_wire_shared_with_the_controller_is_held_against_its_logic(all_found):
    wire = one(all_found[FIRST], "shared wire", "voltage against the logic's margin")
    # 10 nH for 1 cm at (70 - 25) V over 300 nH.
    assert wire.found == pytest.approx(10e-9 * 45.0 / 300e-9, rel=2e-3)
    assert not wire.within
    apart = one(
        found_on(FIRST, leads__shared_length=0.0), "shared wire", "voltage against the logic's margin"
    )
    assert apart.found == 0.0
    assert apart.within


def test_a_part_with_known_cooling_has_a_temperature(all_found):
    assert one(all_found[FIRST], "resistor", "heat").limit is None
    hot = one(found_on(FIRST, generator__resistor__thermal_resistance=6.0), "resistor", "temperature")
    # 70 V over 180.1 Ω for good: 27.2 W, at 6 K/W 163 K above 25 °C.
    assert hot.found == pytest.approx(298.15 + 6.0 * 180.0 * (70.0 / 180.2) ** 2, rel=2e-3)
    assert not hot.within
    assert "°C" in hot.text


def test_a_fuse_feels_the_current_of_a_supply_at_its_limit(all_found):
    # The second build's supply stands at its limit of 2 A while the gap is shorted, at hardly any voltage.
    ratio = one(all_found[SECOND], "fuse", "short-circuit current over its rating")
    assert "a lasting short draws 2 A from the supply" in ratio.text
    assert ratio.found == pytest.approx(2.0 / 2.0, rel=1e-2)
    drawn = one(all_found[SECOND], "supply", "mean current")
    assert 1.2 < drawn.found < 1.4


def test_the_loop_s_law_and_the_whole_circuit_stand_beside_each_other(all_found):
    for name, alone, all_parts in ((FIRST, "-3.72 V", "-3.49 V"), (SECOND, "-5.98 V", "-925 mV")):
        text = one(all_found[name], "lead", "damping of the loop").text
        assert f"by themselves would leave {alone} on the store" in text
        assert f"with all parts around them {all_parts}" in text


def test_half_the_loop_peaks_higher_and_reverses_less():
    both = halved_loop(demo(FIRST), voltage=59.5)
    assert both.halved.inductance_h == 0.5 * both.now.inductance_h
    assert both.now.peak_current_a < both.halved.peak_current_a < 1.42 * both.now.peak_current_a
    assert both.halved.left_voltage_v > both.now.left_voltage_v
    assert both.halved.duration_s == pytest.approx(both.now.duration_s / 2.0**0.5, rel=5e-3)


def test_ratings_are_the_findings_that_rest_on_the_rig_file(all_found):
    rated = ratings(all_found[SECOND])
    assert {each.part for each in rated} == {"store", "coil", "switch", "diode", "supply"}
    for each in rated:
        assert each.within == (each.found <= each.allowed)


def test_margins_have_a_sign():
    held = Held(part="store", quantity="reverse voltage", scene="spark", found=0.0, limit=0.0, unit="V")
    assert margin_of(held) == 0.0
    over = Held(part="store", quantity="reverse voltage", scene="spark", found=0.5, limit=0.0, unit="V")
    assert margin_of(over) == -1.0
    least = Held(part="fuse", quantity="ratio", scene="short", found=1.0, limit=2.0, unit="", at_least=True)
    assert margin_of(least) == -0.5
    told = finding(least, remedy="Cut the supply.", source="common practice, no source")
    assert "at least 2" in told.text
    assert not told.within


def test_a_generator_stands_on_a_bench_of_its_own():
    made = generator_bench(demo(FIRST).rig)
    assert made.rig.name == "first build"


def test_a_store_that_does_not_fill_while_it_is_watched_is_told():
    """180 ohm, 30 mF: after 3.28 s it has 1 - exp(-3.28 / 5.4) of 70 V, 0.425 of it in the second half."""
    slow = found_on(FIRST, generator__capacitor__capacitance=0.03)
    told = one(slow, "store", "rise in the second half of the start-up")
    assert not told.within
    assert told.degree is Degree.CARE
    assert told.found == pytest.approx(0.425, rel=5e-3)
    assert "is not full 3.28 s after switching on: it stands at 31.8 V" in told.text


def test_a_store_that_fills_says_nothing_of_it(all_found):
    for found in all_found.values():
        assert not [each for each in found if each.quantity.startswith("rise in")]


def test_a_store_that_is_far_too_large_is_refused_for_its_size():
    with pytest.raises(
        InputRefused, match=r"got 11\.6 V 3\.28 s after .* it still rises: charge with more current"
    ):
        found_on(FIRST, generator__capacitor__capacitance=0.1)
