"""The files of the demo scenario, and faults put into them."""

import tomllib
from importlib.resources import files
from pathlib import Path


def sample(name: str) -> str:
    """Text of a file of the demo scenario."""
    return files("gapwright.shell").joinpath("demo", name).read_text(encoding="utf-8")


def changed(name: str, old: str, new: str) -> str:
    """Text of a file of the demo scenario with one place changed."""
    text = sample(name)
    if text.count(old) < 1:
        raise ValueError(f"{name} does not hold {old!r}")
    return text.replace(old, new, 1)


FIRST = "first-build.rig.toml"
SECOND = "second-build.rig.toml"
DRY = "dry-start.rig.toml"
JOB = "first-build.job.toml"

REFUSALS = tomllib.loads(Path(__file__).with_name("refusals.toml").read_text(encoding="utf-8"))
"""Faults, and what is said to each."""
