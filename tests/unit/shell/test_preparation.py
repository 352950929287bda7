import sys
from pathlib import Path

import pytest

from gapwright.shell import preparation
from gapwright.shell.preparation import STAMP, STEPS, Preparation


@pytest.fixture
def cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setattr(preparation, "cache_folder", lambda: tmp_path)
    return tmp_path


def child(monkeypatch: pytest.MonkeyPatch, code: str) -> None:
    monkeypatch.setattr(preparation, "CHILD", (sys.executable, "-c", code))


def test_what_was_prepared_before_is_only_loaded(cache: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (cache / STAMP).write_text("", encoding="utf-8")
    child(monkeypatch, "raise SystemExit(1)")
    loaded: list[int] = []
    made = Preparation(load=lambda: loaded.append(1))
    made.start()
    assert made.wait(10.0)
    assert loaded == [1]
    assert (made.state.warm, made.state.done, made.state.total) == (True, len(STEPS), len(STEPS))


def test_the_first_time_a_child_prepares_and_says_how_far_it_is(
    cache: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert not (cache / STAMP).exists()
    child(monkeypatch, "print(1, flush=True); print(2, flush=True); print('odd')")
    said: list[str] = []
    made = Preparation(load=lambda: said.append(f"looks {made.state.looks}"))
    says = made._say

    def heard(done: int, text: str) -> None:
        said.append(f"{done} {text}")
        says(done, text)

    monkeypatch.setattr(made, "_say", heard)
    made.start()
    assert made.wait(20.0)
    assert made.state.warm
    assert made.state.looks
    assert [text.split(";")[0] for text in said] == [
        f"0 compiling {STEPS[0]}",
        f"1 compiling {STEPS[1]}",
        "looks False",
        f"2 compiling {STEPS[2]}",
    ]


@pytest.mark.usefixtures("cache")
def test_a_child_that_fails_is_told_in_one_line(monkeypatch: pytest.MonkeyPatch) -> None:
    child(monkeypatch, "raise SystemExit(3)")
    kept: list[BaseException] = []
    monkeypatch.setattr("gapwright.shell.log.keep_fault", lambda error, _where: kept.append(error))
    made = Preparation(load=lambda: None)
    made.start()
    assert made.wait(20.0)
    assert not made.state.warm
    assert "could not be prepared" in made.state.failed
    assert "code 3" in str(kept[0])


@pytest.mark.usefixtures("cache")
def test_stopping_ends_the_child(monkeypatch: pytest.MonkeyPatch) -> None:
    child(monkeypatch, "print(1, flush=True); import time; time.sleep(60)")
    monkeypatch.setattr("gapwright.shell.log.keep_fault", lambda _error, _where: None)
    made = Preparation(load=lambda: None)
    made.start()
    while made.state.done < 1:
        assert not made.wait(0.05)
    made.stop()
    assert made.wait(10.0)
    assert not made.state.warm
