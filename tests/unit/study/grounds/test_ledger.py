"""The ledger of made-up meters: every line in its place, and a gap in the account refused."""

import numpy as np
import pytest

from gapwright.base.errors import BalanceFault
from gapwright.circuit.map.charge_map import Meter
from gapwright.study.grounds.ledger import Metered, drawn_from_supply, ledger
from gapwright.study.grounds.outcome import Role
from tests.unit.study.benches import FIRST, SECOND, demo

METERS = (
    Meter(stage="supply", account="drawn from supply", role="in"),
    Meter(stage="supply", account="charging resistor", role="out"),
    Meter(stage="leads", account="leads", role="out"),
    Meter(stage="spark", account="discharge", role="out"),
)


def metered(given: float = 100.0, stored: float = 0.0) -> Metered:
    return Metered(
        duration=10.0,
        meters=METERS,
        sparking=np.array([given, 60.0, 5.0, 35.0]),
        shorted=np.array([7.0, 6.0, 1.0, 0.0]),
        stored=stored,
        removed=1e-10,
        absorbed=0.2,
        electrode_share=0.1,
    )


def test_every_joule_has_a_line() -> None:
    account = ledger(demo(FIRST), metered())
    lines = {(line.stage, line.account): line for line in account.accounts}
    assert lines[("charger", "charging resistor")].energy_j == 60.0
    assert lines[("gap", "shorts")].energy_j == 7.0
    assert lines[("metal", "workpiece")].energy_j == pytest.approx(7.0, rel=1e-12)
    assert lines[("spark", "electrode")].energy_j == pytest.approx(3.5, rel=1e-12)
    assert lines[("spark", "liquid and debris")].energy_j == pytest.approx(24.5, rel=1e-12)
    supply = demo(FIRST).rig.supply
    assert lines[("socket", "from the socket")].energy_j == pytest.approx(
        107.0 / supply.efficiency + 10.0 * supply.idle_power, rel=1e-12
    )
    assert lines[("metal", "melting the removed metal")].role is Role.OF_WHICH
    assert abs(account.balance_error) < 1e-12


def test_what_is_stored_is_in_the_balance() -> None:
    account = ledger(demo(FIRST), metered(given=102.0, stored=2.0))
    assert abs(account.balance_error) < 1e-12


def test_an_account_that_does_not_close_is_a_fault() -> None:
    with pytest.raises(BalanceFault, match="must close within"):
        ledger(demo(FIRST), metered(given=103.0))


def test_a_step_up_stage_pays_for_its_control() -> None:
    account = ledger(demo(SECOND), metered())
    lines = {(line.stage, line.account): line for line in account.accounts}
    assert lines[("charger", "its own control")].energy_j == pytest.approx(3.0, rel=1e-12)


def test_drawn_from_supply_counts_shorts() -> None:
    assert drawn_from_supply(metered()) == 107.0
