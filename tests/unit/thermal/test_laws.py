"""Laws of heat and removal: flags, records and refusals."""

import math

import pytest

from gapwright.base.errors import InputRefused
from gapwright.thermal import (
    absorption,
    channel,
    conduction,
    crater,
    dry,
    factors,
    finish,
    heating,
    instant,
    quantiles,
    removal,
    textbook,
)

BODY = {"conductivity": 56.1, "diffusivity": 1.3e-5}
SHEET = {"thickness": 1e-4, "conductivity": 25.0, "inner_radius": 1e-3, "outer_radius": 1e-2}
BAND = {"median": 1.0, "low": 0.5, "high": 2.0}


def test_more_than_conduction_melts_is_flagged():
    ceiling = absorption.melt_ceiling(1e-3, absorbed_share=0.18)
    assert absorption.is_beyond_conduction(1.01 * ceiling, ceiling=ceiling)
    assert not absorption.is_beyond_conduction(ceiling, ceiling=ceiling)


@pytest.mark.parametrize("chance", [0.001, 0.2, 0.5, 0.8, 0.999])
@pytest.mark.parametrize("removal_chance", [0.001, 0.5, 0.999])
def test_absorbed_share_always_melts_what_is_removed(chance, removal_chance):
    for energy in (1e-6, 3e-4, 1e-2):
        kappa = removal.removal_per_energy_quantile(removal_chance, energy)
        share = absorption.absorbed_share_quantile(chance, kappa)
        volume = removal.spark_volume(energy, removal=kappa, material_factor=1.0)
        ceiling = absorption.melt_ceiling(energy, absorbed_share=share)
        assert not absorption.is_beyond_conduction(volume, ceiling=ceiling)
        assert share <= 0.40


def test_the_largest_removal_leaves_one_share():
    assert absorption.absorbed_share_quantile(0.3, 1e-11) == pytest.approx(0.40, rel=1e-9)


def test_a_cut_band_spreads_what_it_cuts():
    whole = quantiles.banded_quantile(0.5, **BAND)
    cut = quantiles.banded_quantile(0.5, **BAND, ceiling=1.0)
    assert whole == pytest.approx(1.0, rel=1e-12)
    # Half of everything is cut, so the middle of the rest is the lower quartile.
    assert cut == pytest.approx(quantiles.banded_quantile(0.25, **BAND), rel=1e-12)
    assert quantiles.banded_quantile(1e-9, **BAND, floor=0.9) > 0.9


def test_a_band_may_have_one_sharp_end():
    assert quantiles.banded_quantile(0.9, median=0.5, low=0.5, high=0.9, floor=0.5) > 0.5
    assert quantiles.banded_quantile(0.2, median=0.5, low=0.25, high=0.5, ceiling=0.6) < 0.5


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("median", 0.0),
        ("largest", -1.0),
        ("small_energy", 0.0),
        ("large_energy", 1e-5),
        ("small_band", 1.0),
        ("large_band", 0.5),
        ("width_scale", 0.0),
        ("width_exponent", 3.0),
    ],
)
def test_a_law_of_removal_that_cannot_be_is_refused(name, value):
    with pytest.raises(InputRefused, match=name):
        removal.RemovalLaw(**{name: value})


CASES = [
    (conduction.diffusivity, (0.0,), {"density": 1.0, "specific_heat": 1.0}, "conductivity"),
    (conduction.even_flux_rise, (0.0,), {"flux": 1.0, **BODY}, "elapsed"),
    (conduction.disc_rise, (1.0,), {"flux": 1.0, "radius": 0.0, **BODY}, "radius"),
    (conduction.gaussian_rise, (1.0,), {"peak_flux": -1.0, "radius": 1.0, **BODY}, "flux"),
    (instant.point_source_radius, (-1.0,), {"heat_to_melt": 1.0}, "energy"),
    (instant.point_source_volume, (1.0,), {"heat_to_melt": 0.0}, "heat_to_melt"),
    (instant.point_source_time, (-1.0,), {"diffusivity": 1.0}, "radius"),
    (instant.plane_source_depth, (1.0,), {"heat_to_melt": math.nan}, "heat_to_melt"),
    (instant.plane_source_time, (1.0,), {"diffusivity": 0.0}, "diffusivity"),
    (channel.fitted_channel_radius, (10.0,), {"duration": 1e-6}, "duration must be between"),
    (channel.anode_channel_radius, (1.0,), {}, "duration must be between"),
    (channel.flux_normaliser, (0.0,), {}, "steepness"),
    (channel.peak_flux, (-1.0,), {"radius": 1.0}, "power"),
    (heating.sheet_rise, (-1.0,), SHEET, "power"),
    (heating.sheet_rise, (1.0,), SHEET | {"outer_radius": 1e-3}, "outer_radius must be above"),
    (removal.removal_band_factor, (0.0,), {}, "energy"),
    (removal.removal_per_energy_quantile, (0.0, 1e-3), {}, "strictly between 0 and 1"),
    (removal.removal_per_energy_quantile, (0.5, -1.0), {}, "energy"),
    (removal.spark_volume, (-1.0,), {"removal": 1.0, "material_factor": 1.0}, "energy"),
    (absorption.absorbed_share_quantile, (1.0, 4e-12), {}, "strictly between"),
    (absorption.absorbed_share_quantile, (0.5, 2e-11), {}, "no believable absorbed share"),
    (absorption.melt_ceiling, (1.0,), {"absorbed_share": 1.2}, "absorbed_share"),
    (absorption.is_beyond_conduction, (-1.0,), {"ceiling": 1.0}, "volume"),
    (crater.crater_width, (0.0,), {}, "energy"),
    (crater.crater_depth, (1.0,), {"width": 0.0}, "width"),
    (crater.energy_of_width, (0.0,), {}, "width"),
    (crater.largest_crater_on_rod, (0.0,), {}, "diameter"),
    (crater.largest_crater_on_tube, (1e-4,), {"share": 0.0}, "share"),
    (factors.heat_to_melt, (200.0,), {"density": 1.0, "specific_heat": 1.0}, "above the ambient"),
    (
        factors.heat_to_melt,
        (2000.0,),
        {"density": 1.0, "specific_heat": 1.0, "latent_heat": -1.0},
        "latent_heat",
    ),
    (factors.melt_volume_factor, (0.0,), {"of_steel": 1.0}, "heat_to_melt"),
    (factors.erosion_resistance, (1.0,), {"specific_heat": 1.0, "melting_point": 0.0}, "melting_point"),
    (factors.polarity_factor_quantile, (0.5,), {"band": 1.0}, "band must be a factor above 1"),
    (factors.effective_share_quantile, (0.5,), {"high": 1.2}, "high must be at most 1"),
    (dry.dry_removal_quantile, (0.5,), {"low": 1.0}, "low <= median"),
    (dry.kept_share_quantile, (0.5,), {"low": 0.9, "high": 0.3}, "at least low"),
    (textbook.textbook_removal_rate, (1.0,), {"melting_point": 10.0}, "melting_point"),
    (textbook.textbook_removal_per_charge, (), {"melting_point": 1e4}, "melting_point"),
    (finish.roughness, (0.0,), {}, "energy"),
    (finish.roughness_quantile, (0.5, 1e-3), {"band": 0.5}, "low <= median"),
    (finish.recast_depth, (-1.0,), {}, "energy"),
    (finish.recast_quantile, (0.5, 1e-3), {"band": 1.0}, "low must be above 0"),
    (finish.touching_crater_roughness, (-1.0,), {}, "depth"),
    (quantiles.banded_quantile, (0.5,), BAND | {"floor": 3.0, "ceiling": 2.0}, "below the ceiling"),
    (
        quantiles.banded_quantile,
        (0.5,),
        {"median": 1.0, "low": 1.0, "high": 1.0, "ceiling": 0.5},
        "leave nothing",
    ),
    (quantiles.standard_normal_quantile, (1.0,), {}, "strictly between"),
]


@pytest.mark.parametrize(
    ("law", "place", "named", "message"), CASES, ids=lambda value: getattr(value, "__name__", "")
)
def test_refusal(law, place, named, message):
    with pytest.raises(InputRefused, match=message):
        law(*place, **named)
