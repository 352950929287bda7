"""Series, classes, grades, hardness and wire: what lies between and outside."""

import pytest

from gapwright.base.errors import FactMissing, InputRefused, OutOfRange
from gapwright.facts.conductors import copper, gauge_diameter, resistance_per_metre
from gapwright.facts.finish import class_roughness, vdi_3400_class
from gapwright.facts.fits import grade_holding, grade_width
from gapwright.facts.hardness import hardness, rockwell_c_rows, scales_at
from gapwright.facts.series import nearest_preferred, neighbours, preferred_values, series_names


@pytest.mark.parametrize("series", series_names())
@pytest.mark.parametrize("power", [-9, 0, 6])
def test_a_preferred_value_is_its_own_nearest_and_its_own_neighbours(series, power):
    for step in preferred_values(series):
        value = float(f"{step}e{power}")
        assert nearest_preferred(value, series) == value
        assert neighbours(value, series) == (value, value)


def test_nearest_and_neighbours_cross_the_decade():
    assert nearest_preferred(9.6, "E12") == 10.0
    assert neighbours(9.6, "E12") == (8.2, 10.0)
    assert neighbours(0.0999, "E3") == (0.047, 0.1)


def test_each_series_is_part_of_the_next_finer_two_digit_one():
    for coarse, fine in [("E3", "E6"), ("E6", "E12"), ("E12", "E24"), ("E48", "E96")]:
        assert set(preferred_values(coarse)) < set(preferred_values(fine))
        assert preferred_values(coarse) == preferred_values(fine)[::2]


def test_a_value_without_a_logarithm_is_refused():
    for value in (0.0, -4.7, float("nan")):
        with pytest.raises(InputRefused, match="value must be"):
            nearest_preferred(value)
        with pytest.raises(InputRefused, match="value must be"):
            neighbours(value)


def test_an_unknown_series_is_refused():
    with pytest.raises(FactMissing, match="the series must be one of .*got 'E13'"):
        nearest_preferred(1.0, "E13")


@pytest.mark.parametrize("number", range(46))
def test_a_class_comes_back_from_its_roughness(number):
    assert vdi_3400_class(class_roughness(number)) == number


def test_a_surface_off_the_scale_is_refused():
    with pytest.raises(OutOfRange, match="classes 0 to 45 .*got Ra 0.05 µm"):
        vdi_3400_class(0.05e-6)
    with pytest.raises(OutOfRange, match="got Ra 30 µm"):
        vdi_3400_class(30e-6)
    with pytest.raises(InputRefused, match="roughness must be above 0 m"):
        vdi_3400_class(0.0)


@pytest.mark.parametrize("number", [-1, 46, 2.5])
def test_a_class_that_is_not_one_is_refused(number):
    with pytest.raises(FactMissing, match="whole number from 0 to 45"):
        class_roughness(number)


def test_coarse_grades_are_refused_for_small_sizes():
    with pytest.raises(OutOfRange, match="finer than IT14 for sizes up to 1 mm, got IT14 at 1 mm"):
        grade_width("IT14", size=1e-3)
    assert grade_width("IT14", size=1.01e-3) == 250e-6


def test_a_size_or_grade_beyond_the_table_is_refused():
    with pytest.raises(OutOfRange, match="size must be at most 10 mm"):
        grade_width("IT7", size=11e-3)
    with pytest.raises(InputRefused, match="size must be above 0 m"):
        grade_width("IT7", size=0.0)
    with pytest.raises(FactMissing, match="did you mean"):
        grade_width("IT77", size=1e-3)


def test_the_finest_grade_that_holds_a_width():
    assert grade_holding(80e-6, size=0.58e-3) == "IT12"
    assert grade_holding(100e-6, size=0.58e-3) == "IT12"
    assert grade_holding(200e-6, size=0.58e-3) is None
    assert grade_holding(200e-6, size=2e-3) == "IT14"


def test_hardness_rows_fall_together():
    hardest_first = [hardness(number, "vickers").value for number in rockwell_c_rows()]
    assert hardest_first == sorted(hardest_first, reverse=True)
    assert "brinell" in scales_at(60)
    assert "brinell" not in scales_at(68)


def test_hardness_that_the_table_lacks_is_refused():
    with pytest.raises(FactMissing, match="whole number from 40 to 68, got 30"):
        hardness(30, "vickers")
    with pytest.raises(FactMissing, match="at 68 HRC the table gives vickers, rockwell_a, got 'brinell'"):
        hardness(68, "brinell")


@pytest.mark.parametrize("gauge", [-4, 41, 24.5])
def test_a_gauge_that_is_not_one_is_refused(gauge):
    with pytest.raises(FactMissing, match="whole number from -3"):
        gauge_diameter(gauge)


def test_warm_wire_resists_more():
    cold = resistance_per_metre(1e-3)
    assert resistance_per_metre(1e-3, temperature=393.15) == pytest.approx(1.393 * cold, rel=1e-9)
    assert copper("resistivity").unit == "Ω·m"


def test_wire_without_a_diameter_is_refused():
    with pytest.raises(InputRefused, match="diameter must be above 0 m"):
        resistance_per_metre(0.0)
