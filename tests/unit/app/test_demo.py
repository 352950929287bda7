"""Ledgers side by side."""

from dataclasses import replace

import pytest

from gapwright.app.demo import CHANGES, STAGE_CHANGES, compared, merged, side_by_side, spending_sentence
from gapwright.app.forecast import Answer
from tests.made_up import forecast, ledger, pictures


def test_stages_of_several_rigs_keep_the_order_of_each():
    assert merged([["supply", "charger", "metal"], ["supply", "store", "metal"]]) == [
        "supply", "store", "charger", "metal",
    ]  # fmt: skip


def test_a_stage_that_a_rig_lacks_is_left_open():
    whole = ledger()
    short = replace(whole, accounts=tuple(line for line in whole.accounts if line.stage != "leads"))
    rows = {row.stage: row.cells for row in side_by_side([whole, short])}
    assert rows["leads"][0].power_w == pytest.approx(0.83)
    assert rows["leads"][1].power_w is None
    assert rows["beside it"][0].power_w == pytest.approx(38.0)


def with_account(account, factor):
    whole = ledger()
    lines = tuple(
        replace(line, energy_j=line.energy_j * factor) if line.account == account else line
        for line in whole.accounts
    )
    return replace(forecast(), ledger=replace(whole, accounts=lines))


def test_the_sentence_names_what_takes_the_most_after_the_supply():
    sentence = spending_sentence(forecast())
    assert sentence.startswith(
        "first-build: of 11.0 W that the supply hands on, the charger takes the most, 4.62 W or 42 %, "
        "mainly charging resistor; 15 % reaches the metal."
    )
    assert CHANGES["charging resistor"] in sentence


def test_the_advice_follows_the_account_and_else_the_stage():
    assert CHANGES["shorts"] in spending_sentence(with_account("shorts", 10.0))
    assert STAGE_CHANGES["leads"] in spending_sentence(with_account("leads", 12.0))
    assert STAGE_CHANGES["spark"] in spending_sentence(with_account("electrode", 5.0))


def test_a_supply_that_hands_nothing_on_is_said():
    whole = ledger()
    lines = tuple(line for line in whole.accounts if line.stage in ("socket", "supply", "auxiliaries"))
    assert "hands nothing on" in spending_sentence(replace(forecast(), ledger=replace(whole, accounts=lines)))


def test_the_answer_holds_all_rigs():
    answers = [Answer(forecast=forecast(name=n), pictures=pictures()) for n in ("one", "two")]
    result = compared(answers)
    assert [f.rig for f in result.forecasts] == ["one", "two"]
    assert len(result.sentences) == 2
    assert all(len(row.cells) == 2 for row in result.stages)
