"""The user's own values of uncertain constants."""

import pytest

from gapwright.base.errors import InputRefused
from gapwright.base.quantity import any_quantity
from gapwright.base.source import Status
from gapwright.facts.priors import Distribution, prior
from gapwright.rig.priors import OwnPrior, chosen_prior
from gapwright.rig.reading import rig_from_text
from tests.unit.rig.samples import FIRST, REFUSALS, sample


def own(table: str) -> dict[str, OwnPrior]:
    return rig_from_text(f"{sample(FIRST)}\n[priors]\n{table}\n", "r").priors


def test_an_own_band_takes_the_place_of_ours() -> None:
    given = own(
        'burning-voltage-water = { median = "24 V", low = "22 V", high = "30 V", status = "measured" }'
    )
    chosen = chosen_prior(given, prior("burning-voltage-water"))
    assert (chosen.median, chosen.low, chosen.high, chosen.unit) == (24.0, 22.0, 30.0, "V")
    assert chosen.status is Status.MEASURED
    assert chosen.source == "the rig file"
    assert chosen.quantile(0.95) == pytest.approx(30.0, rel=1e-9)


def test_an_own_value_without_a_band_is_fixed() -> None:
    chosen = chosen_prior(own("effective-share = { median = 0.3 }"), prior("effective-share"))
    assert chosen.distribution is Distribution.FIXED
    assert chosen.quantile(0.05) == 0.3


def test_a_band_makes_a_fixed_constant_spread() -> None:
    given = own("crater-width-exponent = { median = 0.34, low = 0.30, high = 0.38 }")
    chosen = chosen_prior(given, prior("crater-width-exponent"))
    assert chosen.distribution is Distribution.LOG_NORMAL


def test_from_python_a_reading_is_taken_as_it_stands() -> None:
    assert OwnPrior(median=any_quantity("25 V")).median.value == 25.0


def test_what_is_not_overridden_stays() -> None:
    assert chosen_prior({}, prior("effective-share")) is prior("effective-share")


def test_the_wear_ratio_goes_by_one_name() -> None:
    given = own("wear-ratio = { median = 0.8, low = 0.5, high = 1.2 }")
    assert chosen_prior(given, prior("effective-share"), name="wear-ratio").median == 0.8


@pytest.mark.parametrize("fault", REFUSALS["prior"], ids=lambda fault: fault["table"][:40])
def test_what_cannot_stand_in_is_refused(fault: dict[str, str]) -> None:
    with pytest.raises(InputRefused) as refused:
        own(fault["table"])
    assert str(refused.value).startswith(f"r: {fault['said']}")
