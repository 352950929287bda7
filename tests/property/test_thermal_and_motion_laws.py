"""Scaling, bounds and limits of the laws of heat, removal and motion."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gapwright.motion.axis import Axis, moved, resting_state
from gapwright.motion.laws import filtered, proportional_speed
from gapwright.motion.loop import is_stable, largest_gain, loop_product, phase_margin, sampled_limit
from gapwright.thermal.absorption import absorbed_share_quantile, melt_ceiling
from gapwright.thermal.conduction import disc_rise, even_flux_rise, gaussian_rise
from gapwright.thermal.crater import crater_depth, crater_width, energy_of_width
from gapwright.thermal.finish import recast_depth, roughness
from gapwright.thermal.instant import point_source_radius, point_source_time
from gapwright.thermal.quantiles import banded_quantile
from gapwright.thermal.removal import RemovalLaw, removal_band_factor, removal_per_energy_quantile

CHANCES = st.floats(1e-6, 1.0 - 1e-6)
ENERGIES = st.floats(1e-7, 1.0)
BODY = {"conductivity": 56.1, "diffusivity": 1.29e-5}


@given(st.floats(1e-9, 1e-2), st.floats(1e-6, 1e-3))
def test_a_spot_is_never_warmer_than_an_evenly_heated_face(elapsed, radius):
    even = even_flux_rise(elapsed, flux=1e10, **BODY)
    disc = disc_rise(elapsed, flux=1e10, radius=radius, **BODY)
    bell = gaussian_rise(elapsed, peak_flux=1e10, radius=radius, **BODY)
    assert 0.0 < bell <= even * (1.0 + 1e-12)
    assert 0.0 < disc <= even * (1.0 + 1e-12)
    # Heat that ends in the disc for good leaves it at q R / k.
    assert disc <= 1e10 * radius / 56.1


@given(st.floats(1e-3, 1e3))
def test_a_disc_for_long_times_reaches_its_steady_rise(times):
    radius = 50e-6
    elapsed = 1e6 * times * radius**2 / BODY["diffusivity"]
    steady = 1e10 * radius / BODY["conductivity"]
    assert disc_rise(elapsed, flux=1e10, radius=radius, **BODY) == pytest.approx(steady, rel=0.02)


@given(ENERGIES)
def test_thousand_times_the_energy_melts_ten_times_as_far(energy):
    near = point_source_radius(energy, heat_to_melt=6.5e9)
    far = point_source_radius(1000.0 * energy, heat_to_melt=6.5e9)
    assert far == pytest.approx(10.0 * near, rel=1e-12)
    slow, quick = (point_source_time(r, diffusivity=1.3e-5) for r in (far, near))
    assert slow == pytest.approx(100.0 * quick, rel=1e-12)


@given(CHANCES, CHANCES, ENERGIES)
def test_removal_rises_with_its_chance_up_to_the_cut(one, other, energy):
    low, high = sorted((one, other))
    less = removal_per_energy_quantile(low, energy)
    more = removal_per_energy_quantile(high, energy)
    assert 0.0 < less <= more <= 1e-11 * (1.0 + 1e-9)


@given(ENERGIES, ENERGIES)
def test_the_band_narrows_with_energy(one, other):
    low, high = sorted((one, other))
    assert removal_band_factor(high) * (1.0 + 1e-12) >= 2.5
    assert removal_band_factor(high) <= removal_band_factor(low) * (1.0 + 1e-12)


@given(CHANCES, CHANCES, ENERGIES)
def test_conduction_always_allows_the_removal(of_share, of_removal, energy):
    removal = removal_per_energy_quantile(of_removal, energy)
    share = absorbed_share_quantile(of_share, min(removal, 1e-11))
    assert removal * energy <= melt_ceiling(energy, absorbed_share=share) * (1.0 + 1e-9)


@given(ENERGIES)
def test_width_and_energy_of_a_crater_are_each_others_inverse(energy):
    assert energy_of_width(crater_width(energy)) == pytest.approx(energy, rel=1e-10)


@given(ENERGIES, st.floats(1e-13, 1e-11))
def test_a_crater_keeps_its_volume(energy, removal):
    width, volume = crater_width(energy), removal * energy
    assert math.pi / 8.0 * width**2 * crater_depth(volume, width=width) == pytest.approx(volume, rel=1e-12)


@given(ENERGIES, st.floats(1.0, 1e3))
def test_larger_sparks_leave_a_rougher_wall(energy, times):
    assert roughness(times * energy) >= roughness(energy) * (1.0 - 1e-12)
    assert recast_depth(times * energy) >= recast_depth(energy) * (1.0 - 1e-12)


@given(CHANCES, st.floats(1e-12, 1e12), st.floats(1.01, 50.0), st.floats(1.01, 50.0))
def test_a_band_scales_with_its_unit(chance, median, below, above):
    band = {"median": median, "low": median / below, "high": median * above}
    unit = {"median": 1.0, "low": 1.0 / below, "high": above}
    found = banded_quantile(chance, **band)
    assert found == pytest.approx(median * banded_quantile(chance, **unit), rel=1e-9)


@given(CHANCES, st.floats(0.1, 0.9), st.floats(1.1, 5.0))
def test_a_cut_band_stays_inside_its_cuts(chance, floor, ceiling):
    found = banded_quantile(chance, median=1.0, low=0.3, high=3.0, floor=floor, ceiling=ceiling)
    assert floor * (1.0 - 1e-9) <= found <= ceiling * (1.0 + 1e-9)


@given(CHANCES)
def test_a_narrow_law_of_removal_is_nearly_its_median(chance):
    law = RemovalLaw(small_band=1.0001, large_band=1.0001)
    assert removal_per_energy_quantile(chance, 1e-3, law=law) == pytest.approx(4e-12, rel=1e-3)


AXES = st.builds(
    Axis,
    resolution=st.floats(1e-7, 20e-6),
    backlash=st.floats(0.0, 100e-6),
    feed_limit=st.floats(1e-4, 1e-2),
    retract_limit=st.floats(1e-4, 1e-2),
    acceleration=st.floats(1e-2, 10.0),
    lag=st.floats(0.0, 20e-3),
)


@given(AXES, st.lists(st.floats(-1e-2, 1e-2), max_size=60))
def test_an_axis_never_outruns_its_limits(axis, commands):
    constants = axis.constants(1e-3)
    state = resting_state(constants)
    before = 0.0
    for command in commands:
        after = moved(state, command, axis=constants)
        step = constants.resolution
        assert -constants.retract_limit * 1e-3 - step <= after - before + 1e-12
        assert after - before <= constants.feed_limit * 1e-3 + step + 1e-12
        before = after


@given(AXES)
def test_an_axis_that_is_told_to_stand_stands(axis):
    constants = axis.constants(1e-3)
    state = resting_state(constants)
    assert {moved(state, 0.0, axis=constants) for _ in range(30)} == {0.0}


@given(AXES, st.floats(1e-5, 1e-3))
def test_a_long_feed_arrives_where_it_was_sent(axis, speed):
    constants = axis.constants(1e-3)
    state = resting_state(constants)
    speed = min(speed, constants.feed_limit)
    position = [moved(state, speed, axis=constants) for _ in range(400)][-1]
    late = constants.lag + 0.5 * speed / constants.acceleration
    assert abs(position - speed * (0.4 - late)) <= constants.resolution + 1.5 * speed * 1e-3


@given(st.floats(-1.0, 2.0), st.floats(-1.0, 2.0), st.floats(1e-6, 1.0), st.floats(1e-6, 1.0))
def test_a_filter_stays_between_what_it_had_and_what_it_sees(previous, sample, interval, time_constant):
    found = filtered(previous, sample=sample, interval=interval, time_constant=time_constant)
    low, high = sorted((previous, sample))
    assert low - 1e-12 <= found <= high + 1e-12


@given(st.floats(0.0, 1.0), st.floats(0.05, 0.98), st.floats(1e-4, 1e-1))
def test_feed_has_the_sign_of_what_is_missing(mean, set_point, gain):
    speed = proportional_speed(mean, set_point=set_point, gain=gain)
    assert math.copysign(1.0, speed) == math.copysign(1.0, mean - set_point) or mean == set_point


@given(st.floats(0.0, 3.0))
def test_a_stable_loop_has_phase_to_spare(product):
    assert is_stable(product) is (phase_margin(product) > 0.0)


@given(st.floats(1e3, 1e6), st.floats(1e-4, 0.1), st.floats(0.1, 1.5))
def test_largest_gain_gives_the_wanted_product(slope, lag, product):
    gain = largest_gain(slope, lag=lag, product=product)
    assert loop_product(gain, sensor_slope=slope, lag=lag) == pytest.approx(product, rel=1e-12)


@given(st.integers(0, 1000))
def test_more_delay_allows_less(delay):
    assert sampled_limit(delay + 1) < sampled_limit(delay)
    # Over many ticks of delay the product of gain and whole lag comes to π/2.
    if delay > 50:
        assert sampled_limit(delay) * (delay + 0.5) == pytest.approx(math.pi / 2.0, rel=1e-3)
