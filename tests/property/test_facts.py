"""Preferred values and priors, whatever the number."""

from hypothesis import given
from hypothesis import strategies as st

from gapwright.facts.finish import class_roughness, vdi_3400_class
from gapwright.facts.fits import grade_holding, grade_width
from gapwright.facts.priors import prior, priors
from gapwright.facts.series import nearest_preferred, neighbours, series_names

values = st.floats(min_value=1e-12, max_value=1e9)


@given(value=values, series=st.sampled_from(series_names()))
def test_the_nearest_is_one_of_the_neighbours_and_has_the_smaller_ratio(value, series):
    below, above = neighbours(value, series)
    nearest = nearest_preferred(value, series)
    assert below <= value <= above
    assert nearest in (below, above)
    ratio = max(value / nearest, nearest / value)
    assert ratio <= min(value / below, above / value) * (1 + 1e-12)


@given(value=values, power=st.integers(min_value=-3, max_value=3), series=st.sampled_from(series_names()))
def test_decades_do_not_matter(value, power, series):
    below, above = neighbours(value, series)
    if below < value * (1 - 1e-9) and value * (1 + 1e-9) < above:
        moved = neighbours(value * 10.0**power, series)
        assert abs(moved[0] / (below * 10.0**power) - 1) < 1e-9
        assert abs(moved[1] / (above * 10.0**power) - 1) < 1e-9


@given(
    key=st.sampled_from(priors()),
    first=st.floats(min_value=0.001, max_value=0.999),
    second=st.floats(min_value=0.001, max_value=0.999),
)
def test_quantiles_never_fall(key, first, second):
    one = prior(key)
    low, high = sorted((first, second))
    assert one.quantile(low) <= one.quantile(high) * (1 + 1e-12)


@given(roughness=st.floats(min_value=0.095e-6, max_value=18.8e-6))
def test_a_class_is_within_half_a_step(roughness):
    ratio = class_roughness(vdi_3400_class(roughness)) / roughness
    assert 10 ** (-0.5 / 20) * (1 - 1e-9) <= ratio <= 10 ** (0.5 / 20) * (1 + 1e-9)


@given(
    width=st.floats(min_value=1e-7, max_value=2.4e-4),
    size=st.floats(min_value=1.1e-3, max_value=10e-3),
)
def test_a_grade_holds_the_width(width, size):
    grade = grade_holding(width, size=size)
    assert grade is not None
    assert grade_width(grade, size=size) >= width
