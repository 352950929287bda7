"""Looks at what is installed here."""

import shutil
import sys
from collections.abc import Iterator
from importlib.metadata import PackageNotFoundError, requires, version
from pathlib import Path

from gapwright import __version__
from gapwright.app.installation import Check

NEWEST_TRIED = (3, 13)


def probes() -> Iterator[Check]:
    """Everything that is looked at, in order."""
    yield python_version()
    yield from packages()
    yield kernels()
    yield fonts()
    yield folder("log folder", log_folder())
    yield simulator()


def python_version() -> Check:
    """Whether this is a Python that gapwright was tried on."""
    found = f"{sys.version_info.major}.{sys.version_info.minor}.{sys.version_info.micro}"
    well = (3, 11) <= sys.version_info[:2] <= NEWEST_TRIED
    return Check(
        name="python", well=well, needed=True, found=found, to_do="" if well else "use Python 3.11 to 3.13"
    )


def packages() -> Iterator[Check]:
    """Whether each package that gapwright needs is installed."""
    wanted = requires("gapwright") or []
    for line in wanted:
        if "extra ==" in line:
            continue
        name = line.split(";")[0].split("[")[0].split(">")[0].split("=")[0].split("<")[0].strip()
        try:
            yield Check(name=name, well=True, needed=True, found=version(name), to_do="")
        except PackageNotFoundError:
            yield Check(name=name, well=False, needed=True, found="missing", to_do=f"pip install '{line}'")


def kernels() -> Check:
    """Whether the compiler works and can keep what it compiled."""
    try:
        from gapwright.base.compiled import cache_folder, compiled

        answer = compiled(sum_of_squares)(3)
    except Exception as error:  # noqa: BLE001 - whatever stops the compiler is the finding
        return Check(
            name="compiled kernels", well=False, needed=True, found=f"{type(error).__name__}: {error}",
            to_do="reinstall numba, and set GAPWRIGHT_KERNEL_CACHE to a folder you may write",
        )  # fmt: skip
    well = answer == 14.0
    return Check(
        name="compiled kernels",
        well=well,
        needed=True,
        found=str(cache_folder()),
        to_do="" if well else "reinstall numba",
    )


def sum_of_squares(count: int) -> float:
    """Sum of the first squares: small enough to compile at once."""
    total = 0.0
    for k in range(1, count + 1):
        total += k * k
    return total


def fonts() -> Check:
    """Whether the font of the figures is here; it comes with matplotlib."""
    from matplotlib import font_manager

    try:
        place = font_manager.findfont("DejaVu Sans", fallback_to_default=False)
    except ValueError:
        return Check(
            name="font of the figures", well=False, needed=True, found="missing", to_do="reinstall matplotlib"
        )
    return Check(name="font of the figures", well=True, needed=True, found=Path(place).name, to_do="")


def log_folder() -> Path:
    """Folder of the log of faults."""
    from gapwright.shell.log import log_place

    return log_place().parent


def folder(name: str, place: Path) -> Check:
    """Whether a folder can be made and written."""
    import os

    try:
        place.mkdir(parents=True, exist_ok=True)
        well = os.access(place, os.W_OK)
    except OSError:
        well = False
    return Check(
        name=name, well=well, needed=False, found=str(place), to_do="" if well else "make it writable"
    )


def simulator() -> Check:
    """Whether the outside circuit simulator is here; only a few of our own tests use it."""
    place = shutil.which("ngspice")
    return Check(
        name="ngspice",
        well=place is not None,
        needed=False,
        found=place or "missing",
        to_do="" if place else "only for the outside checks: apt install ngspice",
    )


def own_version() -> str:
    """Version of gapwright."""
    return __version__
