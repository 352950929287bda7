"""The ledger as a flow."""

from dataclasses import replace

import pytest

from gapwright.app.flow import flow_of
from gapwright.study.grounds.outcome import Account, Ledger, Role
from tests.made_up import DURATION, ledger


def test_each_stage_hands_on_what_it_did_not_lose():
    flow = flow_of(ledger())
    for step, following in zip(flow.steps, flow.steps[1:], strict=False):
        assert following.came_in_j == pytest.approx(
            step.came_in_j - step.lost_j - sum(k.energy_j for k in step.kept)
        )


def test_the_auxiliaries_run_beside_and_not_through_the_stages():
    flow = flow_of(ledger())
    assert flow.entered_j == pytest.approx(17.9 * DURATION)
    assert [line.account for line in flow.beside] == ["spindle", "machine", "pump"]
    assert "auxiliaries" not in [step.stage for step in flow.steps]


def test_what_arrives_is_what_the_last_stage_spends():
    flow = flow_of(ledger())
    last = flow.steps[-1]
    assert last.stage == "metal"
    assert last.lost_j == pytest.approx(last.came_in_j, rel=1e-9)
    assert [line.account for line in last.of_which] == ["melting the removed metal"]


def test_energy_that_enters_further_down_joins_there():
    lines = (
        Account(stage="socket", account="in", role=Role.IN, energy_j=10.0, share=0.5),
        Account(stage="store", account="loss", role=Role.OUT, energy_j=4.0, share=0.2),
        Account(stage="spark", account="second supply", role=Role.IN, energy_j=10.0, share=0.5),
        Account(stage="metal", account="workpiece", role=Role.OUT, energy_j=16.0, share=0.8),
    )
    steps = {s.stage: s for s in flow_of(Ledger(duration_s=1.0, balance_error=0.0, accounts=lines)).steps}
    assert steps["spark"].came_in_j == 16.0
    assert steps["metal"].came_in_j == 16.0


def test_powers_are_means_over_the_drilling():
    flow = flow_of(ledger())
    assert flow.watts(flow.entered_j) == pytest.approx(17.9)
    assert flow_of(replace(ledger(), duration_s=0.0)).watts(5.0) == 0.0
