"""Ledgers side by side."""

from dataclasses import replace

import pytest

from gapwright.app.demo import CHANGES, compared, merged, side_by_side, spending_sentence
from gapwright.app.forecast import Answer
from tests.made_up import WATTS, forecast, ledger, pictures


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


def test_the_sentence_names_the_greatest_stage_and_its_greatest_line():
    sentence = spending_sentence(forecast())
    assert sentence.startswith(
        "first-build: the supply takes the most, 6.90 W or 39 % of what enters, mainly idling"
    )
    assert CHANGES["supply"] in sentence


def test_a_resistor_is_to_be_replaced_by_a_coil():
    heavy = ledger()
    lines = tuple(
        replace(line, energy_j=line.energy_j * 3) if line.account == "charging resistor" else line
        for line in heavy.accounts
    )
    sentence = spending_sentence(replace(forecast(), ledger=replace(heavy, accounts=lines)))
    assert "coil" in sentence


def test_every_stage_has_its_advice():
    assert {stage for stage, *_ in WATTS} - {"socket", "auxiliaries"} <= set(CHANGES)


def test_the_answer_holds_all_rigs():
    answers = [Answer(forecast=forecast(name=n), pictures=pictures()) for n in ("one", "two")]
    result = compared(answers)
    assert [f.rig for f in result.forecasts] == ["one", "two"]
    assert len(result.sentences) == 2
    assert all(len(row.cells) == 2 for row in result.stages)
