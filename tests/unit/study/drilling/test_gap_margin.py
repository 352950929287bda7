"""Stability of the gap loop: from the filling curve, against closed forms and against the drilling itself."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from gapwright.gap.charging import charging_statistics
from gapwright.gap.delay import Hazard, ignition_rate
from gapwright.study.drilling.gap_margin import (
    Filling,
    clean_gap,
    filling,
    gap_loop,
    hazard_for,
    in_words,
    mean_share,
    operating_point,
    voltage_sensitivity,
    working_gap,
)
from gapwright.study.drilling.tick_history import TickHistory
from gapwright.study.grounds.assemble import swept_bore, swept_diameter, usual
from gapwright.study.grounds.uncertain import median_member, uncertain_constants
from tests.unit.study.benches import DRY, FIRST, altered, demo
from tests.unit.study.kept import kept


def plain_charging(exponent: float = 5.0) -> Filling:
    """A store filled through a resistor in units of its time constant, with a hazard from nothing on."""
    time = np.linspace(0.0, 20.0, 20_001)
    share = 1.0 - np.exp(-time)
    return Filling(time=time, share=share, exponent=exponent, exposure=np.cumsum(share**exponent) * time[1])


@pytest.mark.parametrize("similarity", [0.1, 1.0, 3.0, 10.0])
def test_mean_voltage_of_a_charged_store_is_that_of_the_closed_statistics(similarity):
    found = mean_share(plain_charging(), similarity)
    assert found == pytest.approx(charging_statistics(similarity).mean_voltage, rel=2e-3)


def test_the_engines_filling_curve_gives_the_same_statistics():
    made = demo(FIRST)
    tau = made.rig.generator.capacitor.capacitance * (
        made.rig.generator.resistor.resistance + made.rig.supply.output_resistance
    )
    curve = filling(made, 5.0)
    # The hazard begins at half the open voltage here, which the closed statistics leave out.
    assert mean_share(curve, 1.0 / tau) == pytest.approx(charging_statistics(1.0).mean_voltage, rel=5e-3)


def test_sensitivity_is_the_slope_of_the_mean_voltage():
    curve = plain_charging()
    found = voltage_sensitivity(curve, 3.0)
    near = 1e-3
    slope = (mean_share(curve, 3.0 * np.exp(-near)) - mean_share(curve, 3.0 * np.exp(near))) / (2.0 * near)
    assert found == pytest.approx(slope, rel=0.01)


@pytest.mark.parametrize(("set_point", "similarity"), [(0.686, 1.0), (0.567, 3.0), (0.459, 10.0)])
def test_the_hazard_of_a_set_point_is_that_of_the_drawn_table(set_point, similarity):
    assert hazard_for(plain_charging(), set_point) == pytest.approx(similarity, rel=0.02)


@pytest.mark.parametrize("set_point", [0.0, 1.0])
def test_a_set_point_that_no_gap_gives_has_no_hazard(set_point):
    assert hazard_for(plain_charging(), set_point) is None


def test_a_clean_gap_ignites_as_often_as_its_law_says():
    made = demo(FIRST)
    member = median_member(uncertain_constants(made.rig, made.job))
    gap = clean_gap(made, 5e4, member)
    area = 0.25 * np.pi * (swept_diameter(made.rig) ** 2 - swept_bore(made.rig) ** 2)
    law = Hazard(reference_field=usual(made, "effective-field-water"))
    rate = ignition_rate(made.ceiling, gap, area=area, dead_voltage=0.0, hazard=law)
    assert rate == pytest.approx(5e4, rel=1e-9)
    assert clean_gap(made, 5e4) == pytest.approx(gap, rel=1e-12)


@cache
def long_history():
    """A plate thick enough for the gap to swing many times."""
    return kept().recorded.history


def test_the_slope_is_the_one_that_the_drilling_itself_shows():
    made, history = kept().made, long_history()
    loop = gap_loop(made, history)
    assert loop is not None
    steady = (history.depth_m > 0.02e-3) & (history.depth_m < 0.09e-3) & (history.short_share == 0.0)
    gap = 0.5 * (history.gap_low_m + history.gap_high_m)
    share = 0.5 * (history.mean_low_v + history.mean_high_v) / made.ceiling
    # Far from the working gap the curve bends, so only what is near it shows the slope there.
    near = steady & (np.abs(gap / loop.working_gap_m - 1.0) < 0.4)
    seen = np.polyfit(gap[near], share[near], 1)[0]
    assert loop.slope_per_m == pytest.approx(seen, rel=0.2)


def test_the_product_is_gain_times_slope_times_lag():
    loop = gap_loop(kept().made, long_history())
    assert loop is not None
    assert loop.product == pytest.approx(loop.gain_m_per_s * loop.slope_per_m * loop.lag_s, rel=1e-12)
    assert loop.lag_s == pytest.approx(3e-3 + 1e-3 + 4e-3, rel=1e-12)
    assert loop.calm_gain_m_per_s * loop.slope_per_m * loop.lag_s == pytest.approx(0.52, rel=1e-12)


def test_more_gain_and_lag_make_it_restless_and_then_unstable():
    made, history = kept().made, long_history()
    words = []
    for gain in (1e-3, 3e-3, 20e-3):
        rig = altered(made.rig, "controller.gain", gain)
        loop = gap_loop(replace(made, rig=rig), history)
        assert loop is not None
        words.append(loop.words)
    assert words[0].startswith("The gap loop is calm")
    assert words[1].startswith("The gap loop is stable but restless")
    assert words[2].startswith("The gap loop is unstable")


def test_a_rig_that_sparks_by_contact_has_no_such_loop():
    assert gap_loop(demo(DRY), long_history()) is None


def test_a_drilling_that_never_worked_has_no_working_gap():
    assert working_gap(TickHistory().history()) is None


def test_the_gap_asked_for_stands_in_where_a_drilling_never_worked():
    made = demo(FIRST)
    loop, point = gap_loop(made, TickHistory().history()), operating_point(made)
    assert loop is not None
    assert point is not None
    assert loop.working_gap_m == pytest.approx(clean_gap(made, point.hazard), rel=1e-12)
    assert loop.working_gap_m == pytest.approx(working_gap(long_history()), rel=0.5)


def test_coarse_steps_are_worth_a_remark_and_fine_ones_are_not():
    coarse = in_words(0.3, 1e-3, 17.0, resolution=10e-6, gap=13e-6)
    assert "One step of 10 µm down to the working gap of 13 µm makes sparks 17 times as likely" in coarse
    assert "step" not in in_words(0.3, 1e-3, 1.2, resolution=0.5e-6, gap=13e-6)
