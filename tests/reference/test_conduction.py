"""Exact solutions of heat conduction, and the heat source of a spark."""

import math

import pytest

from gapwright.thermal.channel import (
    anode_channel_radius,
    fitted_channel_radius,
    flux_normaliser,
    peak_flux,
)
from gapwright.thermal.conduction import diffusivity, disc_rise, even_flux_rise, gaussian_rise
from gapwright.thermal.heating import sheet_rise
from gapwright.thermal.instant import (
    plane_source_depth,
    plane_source_time,
    point_source_radius,
    point_source_time,
    point_source_volume,
)
from tests.printed import printed

K = 56.1
"""Thermal conductivity of the iron of these checks [W/(m·K)]."""
TO_MELT = 7545.0 * 575.0 * 1508.0
"""Heat that brings it to melting, no latent heat [J/m³]."""
IRON = {"conductivity": K, "diffusivity": diffusivity(K, density=7545.0, specific_heat=575.0)}


@pytest.mark.source("carslaw-jaeger-1959", "disc of 50 µm, 1e10 W/m²: rise of its middle")
@pytest.mark.parametrize(
    ("elapsed", "rise"), [(1e-6, "723.29"), (1e-5, "2285.75"), (1e-4, "5673.36"), (1e-3, "7815.99")]
)
def test_disc(elapsed, rise):
    assert disc_rise(elapsed, flux=1e10, radius=50e-6, **IRON) == printed(rise)


@pytest.mark.source("carslaw-jaeger-1959", "Gaussian flux of 50 µm, peak 1e10 W/m²: rise of its middle")
@pytest.mark.parametrize(
    ("elapsed", "rise"), [(1e-6, "718.36"), (1e-5, "2146.58"), (1e-4, "4843.81"), (1e-3, "6810.46")]
)
def test_gaussian(elapsed, rise):
    assert gaussian_rise(elapsed, peak_flux=1e10, radius=50e-6, **IRON) == printed(rise)


@pytest.mark.source("carslaw-jaeger-1959", "even flux of 1e10 W/m² on a half space")
@pytest.mark.parametrize(("elapsed", "rise"), [(1e-6, "723.29"), (1e-5, "2287.23")])
def test_even_flux(elapsed, rise):
    assert even_flux_rise(elapsed, flux=1e10, **IRON) == printed(rise)


@pytest.mark.source("carslaw-jaeger-1959", "instant point source: largest radius, volume and time of melting")
@pytest.mark.parametrize(
    ("energy", "radius", "volume", "time"),
    [
        (1e-7, "1.3105e-6", "4.7134e-18", "2.2134e-8"),
        (1e-6, "2.8233e-6", "4.7134e-17", "1.0274e-7"),
        (1e-5, "6.0826e-6", "4.7134e-16", "4.7686e-7"),
        (1e-4, "1.3105e-5", "4.7134e-15", "2.2134e-6"),
        (1e-3, "2.8233e-5", "4.7134e-14", "1.0274e-5"),
        (1e-2, "6.0826e-5", "4.7134e-13", "4.7686e-5"),
    ],
)
def test_point_source(energy, radius, volume, time):
    r = point_source_radius(energy, heat_to_melt=TO_MELT)
    assert r == printed(radius)
    assert point_source_volume(energy, heat_to_melt=TO_MELT) == printed(volume)
    assert point_source_time(r, diffusivity=IRON["diffusivity"]) == printed(time)


@pytest.mark.source("carslaw-jaeger-1959", "a point source melts at most 0.3084 of its energy's worth")
def test_share_of_a_point_source_that_melts():
    assert point_source_volume(1.0, heat_to_melt=1.0) == printed("0.3084")
    assert (3.0 / (2.0 * math.pi * math.e)) ** 1.5 == printed("0.07362")


@pytest.mark.source("carslaw-jaeger-1959", "instant plane source: deepest molten plane and its time")
@pytest.mark.parametrize(
    ("energy", "depth", "time"), [(1e5, "7.3971e-6", "2.1157e-6"), (1e6, "7.3971e-5", "2.1157e-4")]
)
def test_plane_source(energy, depth, time):
    z = plane_source_depth(energy, heat_to_melt=TO_MELT)
    assert z == printed(depth)
    assert plane_source_time(z, diffusivity=IRON["diffusivity"]) == printed(time)


@pytest.mark.source("carslaw-jaeger-1959", "a plane source melts at most 0.4839 of its energy: 74 µm³/µJ")
def test_most_that_conduction_can_melt():
    assert plane_source_depth(1.0, heat_to_melt=1.0) == printed("0.4839")
    assert 1e12 * plane_source_depth(1.0, heat_to_melt=TO_MELT) == printed("74")


@pytest.mark.source(
    "computed", "25 A at 25 V for 100 µs, share 0.183, even on the fitted radius: about 1313 K"
)
def test_even_disc_of_the_fitted_radius_does_not_melt():
    R = fitted_channel_radius(25.0, duration=100e-6)
    flux = 0.183 * 25.0 * 25.0 / (math.pi * R**2)
    rise = disc_rise(100e-6, flux=flux, radius=R, **IRON)
    assert rise == printed("1313")
    assert rise < 1508.0


@pytest.mark.source("ikai-hashiguchi-1995", "R = 2.04e-3 I^0.43 t^0.44, from memory")
@pytest.mark.parametrize(
    ("current", "duration", "micrometres"),
    [(10.0, 100e-6, "95.4"), (25.0, 100e-6, "141.5"), (10.0, 32e-6, "57.8")],
)
def test_fitted_channel_radius(current, duration, micrometres):
    assert 1e6 * fitted_channel_radius(current, duration=duration) == printed(micrometres)


@pytest.mark.source("patel-1989", "anode radius at 100 µs: 24.9 µm, a quarter of the fitted one")
def test_anode_channel_radius():
    R = anode_channel_radius(100e-6)
    assert printed("24.9") == 1e6 * R
    assert fitted_channel_radius(10.0, duration=100e-6) / R == printed("3.8")


@pytest.mark.source("computed", "Gaussian with 4.5 cut at R: 4.5505 within 1e-4; with 3: 3.157")
def test_flux_normaliser():
    assert flux_normaliser(4.5) == pytest.approx(4.5505, rel=1e-4)
    assert flux_normaliser(3.0) == printed("3.157")
    assert math.pi * (50e-6) ** 2 * peak_flux(1.0, radius=50e-6) == pytest.approx(4.5505, rel=1e-4)


@pytest.mark.source(
    "from-memory", "diffusivity of copper 1.160e-4, tungsten 6.830e-5, tool steel 9.447e-6 m²/s"
)
@pytest.mark.parametrize(
    ("conductivity", "density", "specific_heat", "found"),
    [
        (400.0, 8960.0, 385.0, "1.160e-4"),
        (174.0, 19300.0, 132.0, "6.830e-5"),
        (35.0, 7800.0, 475.0, "9.447e-6"),
    ],
)
def test_diffusivity(conductivity, density, specific_heat, found):
    assert diffusivity(conductivity, density=density, specific_heat=specific_heat) == printed(found)


@pytest.mark.source("fourier", "5 W into a 0.15 mm sheet, 25 W/(m K), from 0.4 to 10 mm: 683 K")
def test_heated_sheet():
    rise = sheet_rise(5.0, thickness=0.15e-3, conductivity=25.0, inner_radius=0.4e-3, outer_radius=10e-3)
    assert rise == printed("683")
