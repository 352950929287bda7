"""The whole set of cautions: order, form, and what closes it."""

import pytest

from gapwright.facts.sources import sources
from gapwright.study.cautions.cautions import GRAVEST_FIRST, LOCAL_CODES, cautions
from gapwright.study.grounds.outcome import Degree
from tests.unit.study.benches import DRY, FIRST, SECOND, calm, demo, oily

RIGS = {"dry": lambda: demo(DRY), "first": lambda: demo(FIRST), "second": lambda: demo(SECOND), "oil": oily}


@pytest.mark.parametrize("name", RIGS)
def test_the_gravest_come_first_and_local_codes_last(name):
    made = RIGS[name]()
    found = cautions(made, calm(made, leak_current_a=1e-3))
    ranks = [GRAVEST_FIRST.index(each.degree) for each in found]
    assert ranks == sorted(ranks)
    assert found[-1] == LOCAL_CODES
    assert found.count(LOCAL_CODES) == 1


def test_every_degree_has_its_rank():
    assert set(GRAVEST_FIRST) == set(Degree)


@pytest.mark.parametrize("name", RIGS)
def test_every_caution_is_one_or_two_sentences_with_limit_and_source(name):
    made = RIGS[name]()
    known = " ".join(work.title for work in sources())
    for each in cautions(made, calm(made, leak_current_a=1e-3, reverse_volts=-300.0)):
        assert each.text.endswith(".")
        assert each.text.count(". ") + 1 <= 2
        assert each.limit
        assert each.source == "the rig file" or each.source.split(" (from memory)")[0].split(";")[0] in known


@pytest.mark.parametrize("name", RIGS)
def test_no_number_escapes_unrounded(name):
    made = RIGS[name]()
    for each in cautions(made, calm(made, leak_current_a=1.23456e-3, reverse_volts=-311.2345)):
        digits = [word.strip("().,;:") for word in (each.text + " " + each.limit).split()]
        assert not [word for word in digits if word.replace(".", "").isdigit() and len(word) > 5]


def test_a_calm_wet_rig_below_its_limits_raises_no_danger():
    made = demo(FIRST)
    degrees = {each.degree for each in cautions(made, calm(made, store_volts=29.0, stored_energy_j=3e-4))}
    assert Degree.DANGER not in degrees
