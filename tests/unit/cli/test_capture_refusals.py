"""Whatever is wrong with a file, the command says so in one line, gives 2 and leaves nothing half written."""

import gzip
import json
import zipfile
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from gapwright.cli.main import run
from tests.unit.shell.captures import files

LINES = files.PLAIN.splitlines(keepends=True)


def changed(k: int, line: str) -> bytes:
    """The plain file with one line replaced."""
    return "".join([*LINES[:k], line + "\n", *LINES[k + 1 :]]).encode()


def in_line(k: int, value: str) -> bytes:
    time, _, amperes = LINES[k].strip().split(",")
    return changed(k, f"{time},{value},{amperes}")


TEXTS: dict[str, tuple[bytes, str]] = {
    "cut off": (files.PLAIN.encode()[:-12], "is the file cut off?"),
    "binary posing as text": (np.random.default_rng(1).bytes(5000), "must be text, got binary data"),
    "one huge line": (
        b"Time (s),Gap (V)\n" + b"7" * 3_000_000,
        "must have lines of at most 65536 characters",
    ),
    "a huge line later": (
        changed(500, "1," + "2" * 3_000_000),
        "must have lines of at most 65536 characters",
    ),
    "not a number": (in_line(300, "nan"), "got nan for 'Gap' in row 301"),
    "infinite": (in_line(300, "-inf"), "got -inf for 'Gap' in row 301"),
    "overflow word": (in_line(300, "OL"), 'line 301 has "OL" in column 2'),
    "overflow code": (in_line(300, "9.9E+37"), "got 9.9e+37 for 'Gap' in row 301"),
    "missing": (in_line(300, ""), 'line 301 has "" in column 2'),
    "same time twice": (changed(300, LINES[299].strip()), "row 301 has the same time as the row before"),
    "backward": (changed(300, LINES[200].strip()), "row 301 goes back in time"),
    "zero length": (b"", "must hold samples, got an empty file"),
    "head alone": (LINES[0].encode(), "must hold columns of numbers"),
}


def cut(form: str) -> Callable[[Path], None]:
    def write(path: Path) -> None:
        files.FORMS[form](path)
        content = path.read_bytes()
        path.write_bytes(content[: len(content) // 2 | 1])

    return write


def bomb_zip(path: Path) -> None:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("run.csv", b"0,0\n" * (20 << 20))


def bomb_gz(path: Path) -> None:
    path.write_bytes(gzip.compress(b"0,0\n" * (20 << 20)))


def bomb_npz(path: Path) -> None:
    np.savez_compressed(path, rate=1e6, gap=np.zeros(20 << 20, dtype=np.float32))


def bomb_parquet(path: Path) -> None:
    import polars as pl

    pl.DataFrame({"gap (V)": np.zeros(20 << 20, dtype=np.float32)}).write_parquet(path)


def nan_array(path: Path) -> None:
    gap = np.ones(1000)
    gap[77] = np.nan
    np.savez(path, rate=1e6, gap=gap, loop=gap * 0 + 2)


def objects(path: Path) -> None:
    np.save(path, np.array([{}], dtype=object), allow_pickle=True)


def other_side_car(path: Path) -> None:
    files.write_raw(path)
    place = Path(f"{path}.json")
    told = json.loads(place.read_text(encoding="utf-8"))
    place.write_text(json.dumps(told | {"channels": told["channels"] * 4, "skip_bytes": 7}), encoding="utf-8")


FILES: dict[str, tuple[str, Callable[[Path], None], str]] = {
    "NPY cut off": ("run.npy", cut("run.npy"), "must be a whole NPY file"),
    "NPY of objects": ("run.npy", objects, "must be a whole NPY file of numbers"),
    "NPZ cut off": ("run.npz", cut("run.npz"), "must be a whole archive"),
    "NPZ with a NaN": ("run.npz", nan_array, "got nan for 'gap' in sample 77"),
    "Parquet cut off": ("run.parquet", cut("run.parquet"), "must be a whole Parquet file"),
    "HDF5 cut off": ("run.h5", cut("run.h5"), "must be a whole HDF5 file"),
    "WAV cut off": ("run.wav", cut("run.wav"), "must be a whole WAV file"),
    "raw cut off": ("run.bin", cut("run.bin"), "is it cut off, or is the side-car another's?"),
    "another's side-car": ("run.bin", other_side_car, "is it cut off, or is the side-car another's?"),
    "gz cut off": ("run.csv.gz", cut("run.csv.gz"), "must be a whole archive"),
    "zip bomb": ("run.zip", bomb_zip, "must unpack to at most 200 times its size"),
    "gz bomb": ("run.csv.gz", bomb_gz, "must unpack to at most 200 times its size"),
    "NPZ bomb": ("run.npz", bomb_npz, "must unpack to at most 200 times its size"),
    "Parquet bomb": ("run.parquet", bomb_parquet, "must unpack to at most 200 times its size"),
}


def refused(capsys: pytest.CaptureFixture[str], place: Path, said: str) -> None:
    folder = place.parent
    before = sorted(folder.iterdir())
    kept = ["--keep", str(folder / "kept"), "--sparks", str(folder / "sparks.csv")]
    assert run(["capture", "read", str(place), *kept, "--quiet"]) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    assert captured.err.count("\n") == 1
    assert said in captured.err
    assert sorted(folder.iterdir()) == before


@pytest.mark.parametrize("name", TEXTS)
def test_wrong_text(name, capsys, tmp_path) -> None:
    content, said = TEXTS[name]
    (tmp_path / "run.csv").write_bytes(content)
    refused(capsys, tmp_path / "run.csv", said)


@pytest.mark.parametrize("name", FILES)
def test_wrong_files(name, capsys, tmp_path) -> None:
    ending, write, said = FILES[name]
    write(tmp_path / ending)
    refused(capsys, tmp_path / ending, said)


def test_a_kept_capture_is_not_kept_twice_and_a_mixed_up_one_says_its_name(capsys, tmp_path) -> None:
    from tests.unit.capture.recorded import RATE, sparks

    volts, amperes = sparks(60, noise=0.2)
    np.savez(tmp_path / "run.npz", **{"dt": np.array(1 / RATE), "Gap (V)": volts, "Loop (A)": amperes})
    kept = tmp_path / "kept"
    assert run(["capture", "read", str(tmp_path / "run.npz"), "--keep", str(kept), "--quiet"]) == 0
    capsys.readouterr()
    assert run(["capture", "read", str(kept), "--keep", str(tmp_path / "again"), "--quiet"]) == 2
    assert "is kept already and is not kept twice" in capsys.readouterr().err
    (kept / "current.npy").write_bytes((kept / "current.extremes-0.npy").read_bytes())
    assert run(["capture", "read", str(kept), "--quiet"]) == 2
    assert "kept' is no whole kept capture: current must be one row" in capsys.readouterr().err
    assert not (tmp_path / "again").exists()
