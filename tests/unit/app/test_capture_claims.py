"""Claims of a capture on a card: a share with what counting leaves open, an energy with its spread."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import binomtest

from gapwright.app.capture_bench import DISCHARGES
from gapwright.app.capture_claims import CAPTURE_CLAIMS, capture_claim, share_band
from gapwright.base.errors import InputRefused
from gapwright.shell.drawn import claim_picture
from tests.unit.app.test_capture_bench import opened


@pytest.mark.parametrize(("count", "total"), [(8, 10), (0, 5), (5, 5), (271, 300), (1, 1)])
def test_a_share_s_band_is_that_of_the_reference_library(count: int, total: int) -> None:
    found = share_band(count, total)
    expected = binomtest(count, total).proportion_ci(confidence_level=0.9, method="wilson")
    assert found.median == count / total
    assert [found.low, found.high] == pytest.approx([expected.low, expected.high], rel=1e-9)


@pytest.mark.parametrize("name", CAPTURE_CLAIMS)
def test_a_claim_has_a_number_a_band_and_where_it_was_measured(name: str) -> None:
    said = capture_claim(opened().found, name)
    assert said.large.split()[1] in ("%", "mJ")
    assert " to " in said.band
    assert said.behind.startswith("run.csv: measured over ")
    assert claim_picture(said, form="svg").startswith(b"<")


def test_good_sparks_are_normal_among_discharges() -> None:
    classes = opened().found.answer.classes
    share = classes["normal"].count / sum(classes[name].count for name in DISCHARGES)
    assert capture_claim(opened().found, "good").value.median == pytest.approx(share, rel=1e-12)


def test_nine_in_ten_energies_lie_within_the_band() -> None:
    found = opened().found
    value = capture_claim(found, "energy").value
    energies = found.reading.sparks.energy_j[found.reading.sparks.fired]
    energies = energies[np.isfinite(energies) & (energies > 0.0)]
    assert value.low is not None
    assert value.high is not None
    assert np.mean((energies >= value.low) & (energies <= value.high)) == pytest.approx(0.9, rel=0.02)
    assert value.median == pytest.approx(float(np.median(energies)), rel=1e-12)


def test_a_capture_without_sparks_or_energy_has_no_such_card() -> None:
    found = opened().found
    none = {name: replace(each, count=0) for name, each in found.answer.classes.items()}
    with pytest.raises(InputRefused, match="must have discharges, got none"):
        capture_claim(replace(found, answer=replace(found.answer, classes=none)), "good")
    with pytest.raises(InputRefused, match="whose energy is told, got none"):
        capture_claim(replace(found, answer=replace(found.answer, energy_j=None)), "energy")
    with pytest.raises(InputRefused, match="a card must be one of good, energy"):
        capture_claim(found, "god")
