"""Single published figures beside the forecast's band: the quick part, without whole drillings."""

from math import pi

import pytest

from gapwright.facts.priors import prior
from gapwright.facts.tables import rows
from proof._published_bands import BANDS, UNUSABLE, Band
from proof.published_figures import FROM_FORECASTS, HERE, Line, judged, lines


@pytest.fixture(scope="module")
def found() -> dict[str, Line]:
    return {line.name: line for line in lines(forecasts=False)}


@pytest.mark.source("computed", "each published figure is compared, or says why it cannot be")
def test_no_published_figure_is_passed_over():
    names = {row.name for row in rows("published")}
    assert set(BANDS) | set(UNUSABLE) | {FROM_FORECASTS} == names
    assert not set(BANDS) & set(UNUSABLE)
    assert all(len(reason) > 20 for reason in UNUSABLE.values())


@pytest.mark.source("obrabotka-2025", "16 A, 38 µs on, 5 µs off, copper on NiTi: 8.852 mm³/min, Ra 2.818 µm")
def test_removal_and_roughness_of_long_pulses_are_inside_our_band(found):
    assert found["R12"].verdict == "hit"
    assert found["R14"].verdict == "hit"


@pytest.mark.source("nitinol-2024", "12 A, 2 µs on, 9 µs off, water: 3.6 mg/min removed, 3.8 mg/min worn")
def test_removal_and_wear_of_short_pulses_in_water_are_inside_our_band(found):
    assert found["nitinol-removal"].verdict == "hit"
    assert found["nitinol-wear"].verdict == "hit"


@pytest.mark.source("zahiruddin-kunieda", "both electrodes absorb 10 to 15 % of a micro-discharge")
def test_absorbed_energy_is_a_known_miss(found):
    # Removal and calorimetry contradict each other; the forecast keeps the removal.
    assert found["R1"].verdict == "miss: ours is higher"


@pytest.mark.source("jspe-2019", "at most several percent of the molten metal leaves")
def test_removed_over_molten_is_a_known_miss(found):
    assert found["R2"].verdict == "miss: ours is higher"


@pytest.mark.source("computed", "the committed summary holds these lines")
def test_the_summary_is_that_of_today(found):
    text = (HERE / "published_figures.md").read_text(encoding="utf-8")
    for line in found.values():
        cells = f"| {line.name} | {line.what} | {line.published} | {line.ours} | {line.verdict} |"
        assert cells in text
    assert f"| {FROM_FORECASTS} | " in text


@pytest.mark.source("computed", "hit inside, overlapping ranges, and misses on either side")
@pytest.mark.parametrize(
    ("published", "verdict"),
    [
        ((2.0, 2.0), "hit"),
        ((1.5, 2.5), "hit"),
        ((0.5, 1.5), "hit: the ranges overlap"),
        ((0.1, 0.9), "miss: ours is higher"),
        ((4.0, 5.0), "miss: ours is lower"),
    ],
)
def test_how_a_figure_is_judged(published, verdict):
    assert judged(published, Band(low=1.0, median=2.0, high=3.0, how="made up")) == verdict


@pytest.mark.source("common-practice", "1.1 mm hole, 20 mm/min, 375 W: 1184 J/mm³, a factor of 3 either way")
def test_energy_per_volume_of_tube_drilling():
    practice = 375.0 * 60.0 / (20.0 * pi / 4.0 * 1.1**2)
    assert practice == pytest.approx(1184.0, rel=5e-4)
    ours = 1e-9 / (prior("removal-per-energy").median * prior("effective-share").median)
    assert practice / 3.0 < ours < 3.0 * practice
