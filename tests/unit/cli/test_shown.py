"""Words and numbers that commands print."""

import pytest
from rich.console import Console

from gapwright import wiring
from gapwright.cli import main
from gapwright.cli.show.ledger import show_ledger
from gapwright.cli.show.sweep import figure_text
from gapwright.study.generator.generator_alone import sized
from gapwright.study.grounds.outcome import Account, Ledger, Role


@pytest.mark.parametrize(
    ("name", "value", "said"),
    [
        ("arc_share", 0.926, "93 %"),
        ("least_margin", -5.67, "-567 %"),
        ("through_share", 1.0, "100 %"),
        ("spark_rate_hz", 33.6e3, "33.6 kHz"),
    ],
)
def test_shares_of_a_sweep_are_told_in_percent(name: str, value: float, said: str) -> None:
    assert figure_text(name, value) == said


@pytest.mark.parametrize(("stored", "said"), [(0.1, "still stored"), (-0.1, "taken from what was stored")])
def test_a_store_that_ends_emptier_was_drawn_from(stored: float, said: str) -> None:
    lines = (
        Account(stage="supply", account="supply", role=Role.IN, energy_j=1.0, share=1.0),
        Account(stage="store", account="still stored", role=Role.STORED, energy_j=stored, share=stored),
        Account(stage="spark", account="discharge", role=Role.OUT, energy_j=1.0 - stored, share=1.0 - stored),
    )
    console = Console(width=120, record=True, file=None, quiet=False)
    show_ledger(console, Ledger(duration_s=1.0, balance_error=0.0, accounts=lines))
    assert said in console.export_text()


def test_rounding_of_a_large_voltage_is_no_voltage() -> None:
    assert sized(-2.84e-14, beside=22.4e-3) == 0.0
    assert sized(-185e-9, beside=0.2) == -185e-9


@pytest.mark.parametrize(("keep", "where"), [([], "kept;"), (["--keep", "mine"], "kept in mine;")])
def test_a_sweep_that_is_interrupted_says_what_is_kept(
    keep: list[str], where: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def stopped(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(wiring, "sweep_files", stopped)
    line = ["circuit", "rig.toml", "--sweep", "leads.inductance=1nH..2nH:lin:2", *keep]
    assert main.run(line) == 130
    assert f"finished points are {where} the same command goes on from there" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("files", "said"),
    [
        (["--plot", "a.svg", "--schematic", "a.svg"], "must be different files"),
        (["--deck", "a.rig.toml"], "--deck must name a file that ends in .cir"),
    ],
)
def test_files_that_would_cost_another_are_refused(
    files: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main.run(["circuit", "a.rig.toml", *files]) == 2
    assert said in capsys.readouterr().err
