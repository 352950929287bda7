"""Priors: percentiles, cuts and wear ratios."""

import math

import pytest

from gapwright.base.errors import FactMissing, InputRefused
from gapwright.facts.materials import material, materials
from gapwright.facts.priors import Distribution, long_pulse_wear_ratio, prior, priors, wear_ratio, wear_ratios

SPREADING = [key for key in priors() if prior(key).distribution is not Distribution.FIXED]


@pytest.mark.parametrize("key", priors())
def test_low_median_and_high_are_in_order(key):
    p = prior(key)
    assert p.low <= p.median <= p.high
    assert p.key == key
    assert p.title


@pytest.mark.parametrize("key", SPREADING)
def test_a_prior_that_spreads_has_a_band(key):
    assert prior(key).low < prior(key).high


@pytest.mark.parametrize("key", SPREADING)
def test_quantiles_grow_and_stay_within_the_cuts(key):
    p = prior(key)
    values = [p.quantile(step / 20) for step in range(1, 20)]
    assert values == sorted(values)
    assert values[0] < values[-1]
    assert p.ceiling is None or values[-1] <= p.ceiling
    assert p.quantile(1.0) <= (math.inf if p.ceiling is None else p.ceiling * (1 + 1e-9))


@pytest.mark.parametrize("key", [k for k in SPREADING if prior(k).ceiling is None])
def test_median_and_percentiles_are_those_of_the_table(key):
    p = prior(key)
    if p.distribution is Distribution.LOG_NORMAL:
        assert p.quantile(0.05) == pytest.approx(p.low, rel=1e-9)
        assert p.quantile(0.95) == pytest.approx(p.high, rel=1e-9)
    else:
        assert p.quantile(0.0) == p.low
        assert p.quantile(1.0) == p.high
    assert p.quantile(0.5) == pytest.approx(p.median, rel=1e-9)


def test_a_fixed_prior_is_used_as_it_stands():
    assert [prior("ignition-area").quantile(p) for p in (0.0, 0.3, 1.0)] == [1e-6, 1e-6, 1e-6]


def test_a_ceiling_shares_out_what_it_cuts_off():
    cut = prior("removal-per-energy")
    assert cut.quantile(1.0) == pytest.approx(1e-11, rel=1e-9)
    assert cut.quantile(0.5) < cut.median
    # Without a cut, 5 in 100 lie above the ceiling.
    assert cut.quantile(0.5 / 0.95) == pytest.approx(cut.median, rel=1e-9)


def test_an_uncut_log_normal_reaches_from_nothing_to_infinity():
    assert prior("axis-backlash").quantile(0.0) == 0.0
    assert prior("axis-backlash").quantile(1.0) == math.inf


def test_a_probability_outside_0_to_1_is_refused():
    with pytest.raises(InputRefused, match="probability must be between 0 and 1"):
        prior("axis-backlash").quantile(1.5)


def test_an_unknown_prior_is_refused():
    with pytest.raises(FactMissing, match="the prior must be one of .*did you mean"):
        prior("removal-per-enrgy")


def test_removal_stays_within_what_conduction_allows():
    ceiling = prior("conduction-ceiling").median
    assert prior("removal-ceiling").median <= prior("absorbed-share").high * ceiling
    assert prior("removal-per-energy").median < prior("absorbed-share").median * ceiling
    assert prior("conduction-ceiling").high < prior("plane-source-ceiling").median


def test_dry_removal_is_an_order_below_removal_in_liquid():
    assert prior("removal-per-energy-dry").median < 0.1 * prior("removal-per-energy").median


def test_make_arc_time_reads_back_the_published_inductance():
    time = prior("make-arc-time").median
    assert time * (50.0 - 13.0) / 0.4 == pytest.approx(prior("make-arc-inductance").median, rel=0.05)


def test_wear_ratio_of_a_pair_with_a_figure():
    ratio = wear_ratio(material("copper"), material("spring-steel"))
    assert (ratio.low, ratio.median, ratio.high) == (0.1, 0.3, 0.6)
    assert ratio.title == "volume wear ratio, copper on steel"


def test_wear_ratio_of_a_pair_without_one_says_so():
    ratio = wear_ratio(material("zinc"), material("aluminium"))
    assert "no figure for this pair" in ratio.title
    assert ratio.key == "wear-ratio-general"


def test_wear_ratio_needs_two_conductors():
    with pytest.raises(FactMissing, match="two conductive materials, got glass"):
        wear_ratio(material("copper"), material("glass"))


def test_every_pair_of_conductors_has_a_wear_ratio():
    keys = [key for key in materials() if material(key).conductive]
    ratios = [wear_ratio(material(a), material(b)) for a in keys for b in keys]
    assert all(0.01 <= ratio.low < ratio.median < ratio.high <= 3.0 for ratio in ratios)


def test_tungsten_wears_least_and_brass_most_on_steel():
    on_steel = {
        key: wear_ratio(material(key), material("tool-steel")).median
        for key in ("tungsten", "copper", "brass", "tungsten-carbide-cobalt")
    }
    assert max(on_steel, key=on_steel.__getitem__) == "brass"
    assert on_steel["tungsten"] < on_steel["copper"]
    assert long_pulse_wear_ratio().median < on_steel["tungsten"]


def test_all_wear_ratios_are_listed():
    assert len(wear_ratios()) == len({ratio.key for ratio in wear_ratios()}) >= 10
