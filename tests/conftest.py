"""What every test shares: a place for compiled kernels, and markers that mean something."""

import os
import shutil

import pytest
from hypothesis import settings

# The first call of a law may compile its kernel, so no single call has a deadline. The same examples each
# time, so that a change is judged by what it changed; GAPWRIGHT_NEW_EXAMPLES=1 looks for others.
settings.register_profile(
    "gapwright", deadline=None, derandomize=not os.environ.get("GAPWRIGHT_NEW_EXAMPLES")
)
settings.load_profile("gapwright")

# By default a number within 1e-12 of the expected one is equal to it, so zero
# would pass for a charge of 1e-13 C. Only the relative tolerance counts here.
type(pytest.approx(1.0)).DEFAULT_ABSOLUTE_TOLERANCE = 0.0  # type: ignore[attr-defined]


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Hold the markers to their word.

    A `source` marker names the work and the place in it; an `ngspice` test is
    skipped, with what to install, where the simulator is missing - unless
    GAPWRIGHT_REQUIRE_NGSPICE is set, as it is where a change is judged.
    """
    missing = pytest.mark.skip(reason="needs ngspice: apt install ngspice")
    have_ngspice = shutil.which("ngspice") is not None or bool(os.environ.get("GAPWRIGHT_REQUIRE_NGSPICE"))
    for item in items:
        for mark in item.iter_markers("source"):
            if len(mark.args) != 2 or not all(isinstance(a, str) and a.strip() for a in mark.args):
                raise pytest.UsageError(
                    f'{item.nodeid}: a source marker is source("key", "where"), got {mark.args}'
                )
        if item.get_closest_marker("ngspice") and not have_ngspice:
            item.add_marker(missing)
