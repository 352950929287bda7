"""Compiled kernels never answer with older sources."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

import gapwright
from gapwright.base.compiled import cache_folder, compiled, kernel_sources, laws_hash, sources_hash

PACKAGE = Path(gapwright.__file__).parent
LAW = "from gapwright.base.compiled import compiled\n\n\n@compiled\ndef law(x):\n    return {factor} * x\n"
CALLER = (
    "from gapwright.base.compiled import compiled\nfrom gapwright.gap.law_of_test import law\n\n\n"
    "@compiled\ndef caller(x):\n    return law(x) + 1.0\n"
)
QUESTION = (
    "from gapwright.study.caller_of_test import caller\n"
    "print(caller(10.0), sum(caller.stats.cache_hits.values()), caller.__wrapped__.__code__.co_filename)\n"
)


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    """A copy of the package with a law and, in another file, a kernel that calls it."""
    package = tmp_path / "gapwright"
    for name in ("base",):
        shutil.copytree(PACKAGE / name, package / name, ignore=shutil.ignore_patterns("__pycache__"))
    for name in ("gap", "study"):
        (package / name).mkdir()
        (package / name / "__init__.py").write_text("", encoding="utf-8")
    shutil.copy(PACKAGE / "__init__.py", package)
    (package / "gap" / "law_of_test.py").write_text(LAW.format(factor=2.0), encoding="utf-8")
    (package / "study" / "caller_of_test.py").write_text(CALLER, encoding="utf-8")
    return package


def answer(package: Path, cache: Path) -> tuple[float, int]:
    """What a fresh process gets from the kernel, and how often it came from the cache."""
    surroundings = {
        **os.environ,
        "PYTHONPATH": str(package.parent),
        "GAPWRIGHT_KERNEL_CACHE": str(cache),
        "PYTHONDONTWRITEBYTECODE": "1",
    }
    surroundings.pop("NUMBA_CACHE_DIR", None)
    done = subprocess.run(
        [sys.executable, "-c", QUESTION],
        cwd=package.parent,
        env=surroundings,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr[-2000:]
    value, hits, place = done.stdout.split(maxsplit=2)
    assert place.startswith(str(package)), "the copy was not the one imported"
    return float(value), int(hits)


def test_an_edited_law_changes_the_answer_of_a_cached_caller(copy: Path, tmp_path: Path) -> None:
    cache = tmp_path / "kernels"
    assert answer(copy, cache) == (21.0, 0)
    assert answer(copy, cache) == (21.0, 1), "the cache is in use, so the next line means something"
    (copy / "gap" / "law_of_test.py").write_text(LAW.format(factor=3.0), encoding="utf-8")
    assert answer(copy, cache) == (31.0, 0)


def test_only_what_a_kernel_can_reach_changes_the_cache(copy: Path) -> None:
    before = sources_hash(copy)
    (copy / "study" / "words.py").write_text("x = 1\n", encoding="utf-8")
    assert sources_hash(copy) == before, "no kernel imports it"
    law = copy / "gap" / "law_of_test.py"
    law.write_text("from gapwright.study import words\n" + law.read_text(encoding="utf-8"), encoding="utf-8")
    reached = sources_hash(copy)
    assert reached != before
    (copy / "study" / "words.py").write_text("x = 2\n", encoding="utf-8")
    assert sources_hash(copy) != reached, "a kernel imports it now"


def test_the_sources_of_our_kernels_hold_every_file_with_one() -> None:
    reached = {path.relative_to(PACKAGE).as_posix() for path in kernel_sources()}
    assert {
        "study/drilling/_kernel_drilling.py",
        "circuit/engine/_kernel.py",
        "gap/_kernel.py",
        "study/grounds/_drilling_state.py",
    } <= reached
    assert not any(place.startswith(("app/", "shell/", "cli/")) for place in reached)


@pytest.mark.parametrize("folder", ["base", "facts", "gap", "study"])
def test_a_change_of_a_kernel_makes_a_new_cache(copy: Path, folder: str) -> None:
    before = sources_hash(copy)
    path = copy / folder / "more.py"
    path.parent.mkdir(exist_ok=True)
    path.write_text(LAW.format(factor=1.0), encoding="utf-8")
    added = sources_hash(copy)
    path.write_text(LAW.format(factor=2.0), encoding="utf-8")
    edited = sources_hash(copy)
    path.rename(path.with_name("other.py"))
    renamed = sources_hash(copy)
    assert len({before, added, edited, renamed}) == 4


def test_the_cache_folder_is_named_after_the_sources(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("GAPWRIGHT_KERNEL_CACHE", str(tmp_path))
    assert cache_folder() == tmp_path / sources_hash(PACKAGE)
    monkeypatch.delenv("GAPWRIGHT_KERNEL_CACHE")
    assert cache_folder().name == sources_hash(PACKAGE)
    assert "gapwright" in cache_folder().as_posix()


def test_a_compiler_that_was_there_first_is_refused(tmp_path: Path) -> None:
    surroundings = {**os.environ, "GAPWRIGHT_KERNEL_CACHE": str(tmp_path)}
    surroundings.pop("NUMBA_CACHE_DIR", None)
    done = subprocess.run(
        [sys.executable, "-c", "import numba\nimport gapwright.base.compiled\n"],
        env=surroundings,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 1
    assert "import gapwright first" in done.stderr


def test_division_by_zero_is_infinite_not_an_error() -> None:
    @compiled
    def inverse(x: float) -> float:
        return 1.0 / x

    assert inverse(0.0) == float("inf")
    assert inverse(4.0) == 0.25


def test_a_kernel_in_place_gives_what_the_plain_one_gives() -> None:
    import numpy as np

    from gapwright.base.compiled import compiled, compiled_in_place

    def summed(values, out):
        for k in range(values.shape[0]):
            out[0] += values[k] ** 1.5
        return out[0]

    values = np.linspace(0.0, 3.0, 50)
    assert (
        compiled(summed)(values, np.zeros(1))
        == compiled_in_place(summed)(values, np.zeros(1))
        == summed(values, np.zeros(1))
    )


def test_kept_answers_are_known_by_every_law_and_table_below_the_faces(copy: Path) -> None:
    before = laws_hash(copy)
    (copy / "cli").mkdir()
    (copy / "cli" / "word.py").write_text("WORD = 'a face'\n", encoding="utf-8")
    assert laws_hash(copy) == before
    (copy / "study" / "table.toml").write_text("[steel]\ndensity = 7850\n", encoding="utf-8")
    assert laws_hash(copy) != before
