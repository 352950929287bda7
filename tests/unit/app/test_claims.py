from dataclasses import replace

import pytest

from gapwright.app.answer_tables import TABLES, answer_table, facts_table
from gapwright.app.claims import CLAIMS, claim
from gapwright.app.facts import browse_facts
from gapwright.app.forecast import Answer
from gapwright.base.errors import InputRefused
from tests import made_up
from tests.made_up_records import recorded


def answer(**how: bool) -> Answer:
    return Answer(forecast=made_up.forecast(**how), pictures=made_up.pictures(), recorded=recorded())


@pytest.mark.parametrize("name", CLAIMS)
def test_a_claim_has_a_number_with_unit_a_band_and_what_stands_behind_it(name: str) -> None:
    said = claim(answer(), name)
    assert said.large
    assert said.band
    assert "forecast over" in said.behind


def test_one_member_is_not_several() -> None:
    one = replace(answer(), forecast=replace(made_up.forecast(), members=1))
    assert "forecast over 1 member," in claim(one, "time").behind


def test_a_hole_that_is_not_reached_never_comes() -> None:
    assert claim(answer(gets_through=False), "time").large == "never"


def test_an_unknown_claim_names_those_near() -> None:
    with pytest.raises(InputRefused, match="one of time, entry"):
        claim(answer(), "tim")


@pytest.mark.parametrize("name", TABLES)
def test_columns_of_a_table_have_one_length(name: str) -> None:
    columns = answer_table(answer(), name)
    assert len({len(column) for column in columns.values()}) == 1
    assert len(next(iter(columns.values()))) > 0


def test_the_ledger_s_table_has_its_powers() -> None:
    columns = answer_table(answer(), "ledger")
    energies, powers = columns["energy_j"], columns["power_w"]
    assert float(str(energies[0])) == pytest.approx(float(str(powers[0])) * made_up.DURATION, rel=1e-12)


def test_an_unknown_table_is_refused() -> None:
    with pytest.raises(InputRefused, match="one of measures, ledger"):
        answer_table(answer(), "ledgers")


def test_facts_keep_words_and_numbers_apart() -> None:
    rows = browse_facts("limits").rows
    columns = facts_table(rows)
    assert len(columns["value"]) == len(rows)
    assert all(isinstance(value, float | int) or value is None for value in columns["value"])
