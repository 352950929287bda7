"""Starting is light, and a study has no face, no port and no store."""

import subprocess
import sys

import pytest

from tests.house.code import PACKAGE

WORLD = {"matplotlib", "pandas", "fastapi", "uvicorn", "sqlite3", "serial", "jinja2"}
FACES_AND_HANDS = WORLD | {"typer", "rich"}
HEAVY = WORLD | {"numba", "scipy", "numpy", "pydantic", "pint", "joblib", "tomlkit"}


def loaded_by(*arguments: str) -> set[str]:
    """Top-level packages that an interpreter has imported by the end."""
    done = subprocess.run(
        [sys.executable, "-X", "importtime", *arguments], capture_output=True, text=True, check=False
    )
    said = done.stderr.splitlines()
    lines = [line for line in said if line.startswith("import time:")]
    assert done.returncode == 0, "\n".join(line for line in said if line not in lines)
    assert len(lines) > 10, "the interpreter did not tell what it imported"
    return {line.rsplit("|", 1)[1].strip().split(".")[0] for line in lines}


def test_a_study_loads_no_face_and_no_hand() -> None:
    places = sorted((PACKAGE / "study").rglob("*.py"))
    modules = [".".join(path.relative_to(PACKAGE.parent).with_suffix("").parts) for path in places]
    assert len(modules) > 20
    # The compiler looks for the coverage tool, which has a store of its own.
    lines = ["import sys", "sys.modules['coverage'] = None"]
    lines += [f"import {name.removesuffix('.__init__')}" for name in modules]
    assert loaded_by("-c", "\n".join(lines)) & FACES_AND_HANDS == set()


def test_help_loads_nothing_heavy() -> None:
    assert loaded_by("-m", "gapwright", "--help") & HEAVY == set()


def test_the_package_itself_loads_nothing() -> None:
    assert loaded_by("-c", "import gapwright") & (HEAVY | FACES_AND_HANDS) == set()


@pytest.mark.parametrize("package", ["sqlite3", "jinja2"])
def test_a_loaded_package_is_seen(package: str) -> None:
    assert package in loaded_by("-c", f"import {package}")
