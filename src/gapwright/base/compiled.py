"""The only way to compile a kernel in this project.

The compiler caches per file and does not notice that a function called from
another file has changed: a cached caller would go on returning old physics.
So the cache lives in a folder named after a hash of every source that a kernel
can reach and of the compiler's version, chosen here before the compiler is imported.
See ``docs/decisions/0002-compiled-kernels.md``.
"""

import hashlib
import os
import re
import sys
from collections.abc import Callable
from importlib.metadata import version
from pathlib import Path
from typing import Any, TypeVar, cast

from platformdirs import user_cache_path

from gapwright.base.errors import GapwrightError

F = TypeVar("F", bound=Callable[..., Any])

_PACKAGE = Path(__file__).resolve().parent.parent

_KERNEL = re.compile(r"^@(?:compiled(?:_in_place|_within)?(?:_in_any_order)?|woven)\b", re.MULTILINE)
_IMPORT = re.compile(
    r"^[ \t]*(?:from (gapwright[\w.]*) import (\([^)]*\)|[^\n]*)|import (gapwright[\w.]*))", re.MULTILINE
)


def _imported(text: str, folder: Path) -> set[Path]:
    """Files of ours that a source imports, a package's own file included."""
    places = set()
    for module, names, plain in _IMPORT.findall(text):
        parts = (module or plain).split(".")[1:]
        inside = [[*parts, name] for name in re.findall(r"\w+", names)]
        for place in (folder.joinpath(*found) for found in [parts, *inside]):
            places |= {place.with_suffix(".py"), place / "__init__.py"}
    return {place for place in places if place.is_file()}


def kernel_sources(folder: Path = _PACKAGE) -> list[Path]:
    """Every Python source that a kernel can reach: the kernels' own files, what they import, and so on."""
    texts = {path: path.read_text(encoding="utf-8") for path in folder.rglob("*.py")}
    reached: set[Path] = set()
    ahead = {path for path, text in texts.items() if _KERNEL.search(text)}
    while ahead:
        reached |= ahead
        ahead = {path for source in ahead for path in _imported(texts[source], folder)} - reached
    return sorted(reached)


def sources_hash(folder: Path = _PACKAGE) -> str:
    """Hash of every Python source that a kernel can reach, and of the compiler's version."""
    digest = hashlib.sha256(version("numba").encode())
    for path in kernel_sources(folder):
        digest.update(path.relative_to(folder).as_posix().encode())
        digest.update(path.read_bytes())
    return digest.hexdigest()[:16]


FACES = frozenset({"app", "shell", "cli", "web", "wiring.py", "__main__.py"})
"""Ranks above the studies: what they do changes no answer of a study."""


def laws_hash(folder: Path = _PACKAGE) -> str:
    """Hash of every source and table that an answer can rest on, so that kept answers are known by it."""
    digest = hashlib.sha256(version("numba").encode())
    for path in sorted([*folder.rglob("*.py"), *folder.rglob("*.toml")]):
        place = path.relative_to(folder)
        if place.parts[0] not in FACES:
            digest.update(place.as_posix().encode())
            digest.update(path.read_bytes())
    return digest.hexdigest()[:16]


def cache_folder() -> Path:
    """Folder in which kernels compiled from exactly these sources are kept."""
    root = os.environ.get("GAPWRIGHT_KERNEL_CACHE")
    base = Path(root) if root else user_cache_path("gapwright") / "kernels"
    return base / sources_hash()


def _point_cache() -> None:
    """Point the compiler's cache at our folder; it must not be loaded yet."""
    if "numba" in sys.modules:
        if os.environ.get("NUMBA_CACHE_DIR") == str(cache_folder()):
            return
        raise GapwrightError(
            "the compiler was imported before gapwright.base.compiled; import gapwright first, "
            "or its cache may hold kernels of older sources"
        )
    folder = cache_folder()
    folder.mkdir(parents=True, exist_ok=True)
    os.environ["NUMBA_CACHE_DIR"] = str(folder)


_point_cache()

import numba  # noqa: E402 - the cache folder must be set first


def compiled(function: F) -> F:
    """Compile `function` for speed: cached on disk, without the interpreter lock, exact arithmetic.

    Kernels keep their state in arrays and return at least every 50 ms of work
    with a reason code, so that progress and Ctrl-C work.
    """
    compiler = numba.njit(cache=True, nogil=True, error_model="numpy")  # noqa: TID251 - the one place
    return cast("F", compiler(function))


def compiled_in_place(function: F) -> F:
    """Compile a kernel that only works on arrays it is given, such as an innermost loop.

    Like `compiled`, but the function and all it calls must not make arrays of
    their own. In return no array is counted as held and let go at each access,
    which takes half the time of a loop over very small arrays.
    """
    options: dict[str, Any] = {"cache": True, "nogil": True, "error_model": "numpy", "_nrt": False}
    return cast("F", numba.njit(**options)(function))  # noqa: TID251 - the one place


def compiled_within(function: F) -> F:
    """Compile a kernel in place, as a part of every kernel that calls it.

    A named tuple is handed over value by value, an array as seven of them: calling a
    function with the constants and arrays of a drilling costs more than most of what
    it then does. So whatever takes them in an inner loop is inlined.
    """
    options: dict[str, Any] = {"cache": True, "nogil": True, "error_model": "numpy", "_nrt": False}
    return cast("F", numba.njit(**options, forceinline=True)(function))  # noqa: TID251 - the one place


def compiled_in_any_order(function: F) -> F:
    """Compile a sum or a greatest value over a row of finite numbers, whose terms may be taken in any order.

    So the machine's vector instructions can be used, which take several terms
    at a time. The order hangs only on how long the row is: the same row gives
    the same bits, whatever thread comes to it and wherever it lies in memory.
    """
    options: dict[str, Any] = {"cache": True, "nogil": True, "error_model": "numpy", "_nrt": False}
    return cast("F", numba.njit(**options, fastmath={"reassoc", "nsz", "nnan"})(function))  # noqa: TID251 - the one place


def compiled_within_in_any_order(function: F) -> F:
    """Compile as `compiled_in_any_order`, as a part of every kernel that calls it."""
    options: dict[str, Any] = {"cache": True, "nogil": True, "error_model": "numpy", "_nrt": False}
    return cast("F", numba.njit(**options, forceinline=True, fastmath={"reassoc", "nsz", "nnan"})(function))  # noqa: TID251 - the one place


def woven(function: F) -> F:
    """Make a short function part of every kernel that calls it, instead of a kernel of its own.

    A kernel is compiled together with all it calls, so ten kernels around a
    large one compile the large one ten times. Between a large kernel and the
    one entry that leads to it, functions are woven: compiled with that entry only.
    """
    return cast("F", numba.njit(inline="always", nogil=True, error_model="numpy")(function))  # noqa: TID251 - the one place
