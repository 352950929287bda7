"""Files of samples as instruments save them, all with the same content."""

import gzip
import json
import zipfile
from collections.abc import Callable
from pathlib import Path

import numpy as np

COUNT = 600
RATE = 10e6
START = -5e-6
TIMES = START + np.arange(COUNT) / RATE
COUNTS = np.round(80 * np.sin(np.arange(COUNT) / 9) ** 2).astype(np.int16)
"""Counts of the voltage; a volt is two of them."""
VOLTS = COUNTS / 2.0
AMPERES = np.round(40 * np.cos(np.arange(COUNT) / 9)) / 4.0


def lines(separator: str, *forms: str, comma: bool = False, times: float = 1.0, amperes: float = 1.0) -> str:
    """Lines of time, voltage and current, each in its form."""
    rows = zip(TIMES * times, VOLTS, AMPERES * amperes, strict=True)
    text = "\n".join(
        separator.join(f"{x:{form}}" for x, form in zip(row, forms, strict=True)) for row in rows
    )
    return (text.replace(".", ",") if comma else text) + "\n"


def beside() -> str:
    """Remarks in the first columns, samples in the fourth and fifth, an empty one behind."""
    remarks = ["Record Length,600,points", "Sample Interval,1e-7,s", "Vertical Units,V,", "Model,ours,"]
    rows = zip(TIMES, VOLTS, strict=True)
    return "\n".join(
        f"{remarks[k] if k < len(remarks) else ',,'},{t:.9f},{v:.3f}," for k, (t, v) in enumerate(rows)
    )


def without_times(head: str) -> str:
    """Voltage and current alone, the rate in a remark."""
    rows = "\n".join(f"{v:.2f};{a:.2f}" for v, a in zip(VOLTS, AMPERES, strict=True))
    return f"{head}\nU (V);I (A)\n{rows}\n"


PLAIN = "Time (s),Gap (V),Loop (A)\n" + lines(",", ".8f", ".2f", ".2f")

TEXTS: dict[str, str | bytes] = {
    "names with units": PLAIN,
    "names above units": "Model,X1\nPoints,600\n\nTime,Gap,Loop\ns,V,mA\n"
    + lines(",", ".7e", ".2f", ".0f", amperes=1e3),
    "decimal comma": "Zeit (µs);Gap (V);Loop (A)\n" + lines(";", ".2f", ".2f", ".2f", comma=True, times=1e6),
    "latin-1": ("Zeit in µs\tGap [V]\tLoop [A]\n" + lines("\t", ".2f", ".3f", ".2f", times=1e6)).encode(
        "latin-1"
    ),
    "quoted head": '"second","Volt","Ampere"\n' + lines(",", ".9f", ".2f", ".2f"),
    "trailing separators": "Time,Gap,Loop,\ns,V,A,\n" + lines(",", ".8f", ".2f", ".2f").replace("\n", ",\n"),
    "blanks": "# t/s U/V I/A\n" + lines("   ", ".8f", ".2f", ".2f"),
    "commas in quotes": '"Time (s)","Gap (V)","Loop (A)"\n'
    + "".join(
        f'"{t:.8f}"|"{v:.2f}"|"{a:.2f}"\n'.replace(".", ",").replace("|", ",")
        for t, v, a in zip(TIMES, VOLTS, AMPERES, strict=True)
    ),
    "each channel with its times": "Time (s),Gap (V),Time (s),Loop (A)\n"
    + "".join(f"{t:.8f},{v:.2f},{t:.8f},{a:.2f}\n" for t, v, a in zip(TIMES, VOLTS, AMPERES, strict=True)),
    "bars": "Time (ms)|Gap (mV)|Loop (A)\n"
    + "\n".join(
        f"{1e3 * t:.5f}|{1e3 * v:.0f}|{a:.2f}" for t, v, a in zip(TIMES, VOLTS, AMPERES, strict=True)
    ),
    "carriage returns": PLAIN.replace("\n", "\r\n"),
    "carriage returns alone": PLAIN.replace("\n", "\r"),
    "byte order mark": b"\xef\xbb\xbf" + PLAIN.encode(),
    "empty lines at the end": PLAIN + "\n\n\n",
    "no line end at the end": PLAIN.rstrip("\n"),
    "counted rows": "Sample,Time (s),Gap (V),Loop (A)\n"
    + "".join(f"{k},{line}\n" for k, line in enumerate(lines(",", ".8f", ".2f", ".2f").splitlines())),
}
"""Two channels with times, in many dialects."""

UNTIMED = {
    "rate": without_times("Sample rate: 10 MSa/s"),
    "interval": without_times("Model;X\nSample interval;100 ns"),
    "interval with its unit in the name": without_times("Increment (us);0.1"),
    "rate in a marked remark": without_times("# made up\n# fs=10000000"),
    "interval with its unit beside": without_times("# dt = 1e-7 s"),
}
"""Two channels without times, the rate in the head."""


def write_csv(path: Path) -> None:
    path.write_text(PLAIN, encoding="utf-8")


def write_gz(path: Path) -> None:
    path.write_bytes(gzip.compress(PLAIN.encode()))


def write_zip(path: Path) -> None:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("inside.csv", PLAIN)


def write_npy(path: Path) -> None:
    fields = np.dtype([("time", "f8"), ("Gap (V)", "f4"), ("Loop (A)", "f4")])
    table = np.zeros(COUNT, dtype=fields)
    table["time"], table["Gap (V)"], table["Loop (A)"] = TIMES, VOLTS, AMPERES
    np.save(path, table)


def write_npz(path: Path) -> None:
    np.savez(path, **{"dt": np.array(1 / RATE), "Gap (V)": VOLTS, "Loop (A)": AMPERES})


def write_parquet(path: Path) -> None:
    import polars as pl

    table = {"t (s)": TIMES, "Gap (V)": VOLTS, "Loop (A)": AMPERES, "note": ["x"] * COUNT}
    pl.DataFrame(table).write_parquet(path)


def write_hdf5(path: Path) -> None:
    import h5py

    with h5py.File(path, "w") as file:
        file.attrs["rate_hz"] = RATE
        gap = file.create_dataset("run/a gap", data=COUNTS)
        gap.attrs["unit"], gap.attrs["scale"] = "V", 0.5
        file.create_dataset("run/loop", data=AMPERES).attrs["units"] = "A"
        file["elsewhere"] = h5py.ExternalLink("other.h5", "/x")


def write_wav(path: Path) -> None:
    from scipy.io import wavfile

    both = np.stack([COUNTS, np.round(4 * AMPERES).astype(np.int16)], axis=1)
    wavfile.write(path, int(RATE), both)
    side_car(path, channels=[volts(scale=0.5), {"name": "Loop", "unit": "A", "scale": 0.25}])


def write_raw(path: Path) -> None:
    both = np.stack([COUNTS, np.round(4 * AMPERES).astype(np.int16)], axis=1)
    path.write_bytes(b"head" + both.astype(">i2").tobytes())
    channels = [volts(scale=0.5), {"name": "Loop", "unit": "A", "scale": 0.25}]
    layout = {"type": "int16", "byte_order": "big", "skip_bytes": 4, "rate_hz": RATE, "start_s": START}
    side_car(path, channels=channels, **layout)


def write_raw_one_after_another(path: Path) -> None:
    path.write_bytes(VOLTS.astype("<f4").tobytes() + AMPERES.astype("<f4").tobytes())
    channels = [{"name": "Gap", "unit": "V"}, {"name": "Loop", "unit": "A"}]
    side_car(path, channels=channels, type="float32", interleaved=False, rate_hz=RATE)


def volts(**more: object) -> dict[str, object]:
    return {"name": "Gap", "unit": "V", **more}


def side_car(path: Path, **keys: object) -> None:
    """Write the side-car of a file."""
    whole = {"file": "capture samples", "schema": 1, **keys}
    Path(f"{path}.json").write_text(json.dumps(whole), encoding="utf-8")


FORMS: dict[str, Callable[[Path], None]] = {
    "run.csv": write_csv,
    "run.csv.gz": write_gz,
    "run.zip": write_zip,
    "run.npy": write_npy,
    "run.npz": write_npz,
    "run.parquet": write_parquet,
    "run.h5": write_hdf5,
    "run.wav": write_wav,
    "run.bin": write_raw,
    "run.raw": write_raw_one_after_another,
}
"""Kinds of files, by the name under which each is written."""
