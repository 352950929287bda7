"""What a reader of captures must survive: any bytes give a recording or one line of refusal, nothing else."""

import shutil
import tempfile
from collections.abc import Callable
from pathlib import Path

from gapwright.base.errors import InputRefused
from gapwright.capture.wishes import ChannelWish, FileWish
from gapwright.shell.captures import container
from gapwright.shell.captures.arrays import (
    npy_recording,
    npz_recording,
    parquet_recording,
    raw_recording,
    wav_recording,
)
from gapwright.shell.captures.delimited import text_recording
from gapwright.shell.captures.hierarchy import hdf5_recording
from gapwright.shell.captures.kept import kept_capture, kept_or_made_extremes
from gapwright.shell.captures.reading import Reader, recording_at
from gapwright.shell.captures.side_car import side_car_from, wish_with

CORPUS = Path(__file__).parent / "corpus"
KEPT = Path(__file__).parent / "kept"
"""A small kept capture."""
RATED = FileWish(rate=1e6)
GAPPED = FileWish(missing="gaps")
RAW = FileWish(rate=1e6, type="int16", channels=(ChannelWish(), ChannelWish()))
MOST_BYTES = 1 << 20
"""What a target may unpack to, so that a bomb is found as one."""


def must_survive(read: Callable[[Path], object], content: bytes, ending: str) -> bool:
    """Read a file of these bytes; True if it was a recording. Anything but a one-line refusal is a fault."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"run{ending}"
        path.write_bytes(content)
        before = sorted(Path(folder).iterdir())
        try:
            read(path)
        except InputRefused as refusal:
            if "\n" in str(refusal) or "\r" in str(refusal):
                raise AssertionError(f"a refusal is one line, got {refusal!s}") from refusal
            return False
        finally:
            if sorted(Path(folder).iterdir()) != before:
                raise AssertionError("a reader left something behind")
    return True


def by(reader: Reader, *wishes: FileWish) -> Callable[[Path], object]:
    """Read with one reader, under each wish."""

    def read(path: Path) -> None:
        refusal: InputRefused | None = None
        for wish in wishes:
            try:
                reader(str(path), path, wish)
            except InputRefused as error:
                refusal = error
        if refusal is not None:
            raise refusal

    return read


def text(content: bytes) -> bool:
    """Columns of text."""
    return must_survive(by(text_recording, FileWish(), GAPPED, RATED), content, ".csv")


def npy(content: bytes) -> bool:
    """NPY arrays."""
    return must_survive(by(npy_recording, RATED, GAPPED), content, ".npy")


def npz(content: bytes) -> bool:
    """NPZ archives."""
    return must_survive(by(npz_recording, RATED), content, ".npz")


def parquet(content: bytes) -> bool:
    """Parquet tables."""
    return must_survive(by(parquet_recording, RATED), content, ".parquet")


def hdf5(content: bytes) -> bool:
    """HDF5 files."""
    return must_survive(by(hdf5_recording, RATED), content, ".h5")


def wav(content: bytes) -> bool:
    """WAV files."""
    return must_survive(by(wav_recording, FileWish()), content, ".wav")


def raw(content: bytes) -> bool:
    """Bare samples of two channels."""
    return must_survive(by(raw_recording, RAW), content, ".bin")


def archive(content: bytes) -> bool:
    """Whatever stands in a file without a telling name: archives are unpacked on the way."""
    container.ALWAYS_FINE = MOST_BYTES
    return must_survive(lambda path: recording_at(str(path), {"rate": 1e6}), content, "")


def side_car(content: bytes) -> bool:
    """Side-cars."""
    return must_survive(lambda path: wish_with(side_car_from(str(path), content), {}), content, ".json")


def kept(content: bytes) -> bool:
    """Records of kept captures, beside arrays that are whole."""

    def read(path: Path) -> None:
        folder = path.with_suffix(".kept")
        shutil.copytree(KEPT, folder)
        try:
            (folder / "capture.json").write_bytes(content)
            understood = kept_capture(str(folder))
            kept_or_made_extremes((str(folder),), understood)
        finally:
            shutil.rmtree(folder)

    return must_survive(read, content, ".json")


TARGETS: dict[str, Callable[[bytes], bool]] = {
    each.__name__: each for each in (text, npy, npz, parquet, hdf5, wav, raw, archive, side_car, kept)
}
"""A target for each reader, by name; its corpus is the folder of that name."""
