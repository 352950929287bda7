"""Write the seeds of each target anew from the files of the tests: ``python fuzz/make_corpus.py``."""

import re
import shutil
import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

import numpy as np

from fuzz.targets import CORPUS, KEPT
from gapwright.capture.waveform import Capture
from gapwright.shell.captures.kept import keep as keep_capture
from tests.unit.shell.captures import files

OF = {
    "run.csv.gz": "archive",
    "run.zip": "archive",
    "run.npy": "npy",
    "run.npz": "npz",
    "run.parquet": "parquet",
    "run.h5": "hdf5",
    "run.wav": "wav",
    "run.bin": "raw",
}
ROWS = 40
"""Lines of text that a seed keeps."""


def keep(target: str, name: str, content: bytes) -> None:
    """Write one seed."""
    folder = CORPUS / target
    folder.mkdir(parents=True, exist_ok=True)
    (folder / f"{name}.seed").write_bytes(content)


def short(text: str | bytes) -> bytes:
    """First lines of a text."""
    content = text if isinstance(text, bytes) else text.encode()
    end = b"\n" if b"\n" in content else b"\r"
    return end.join(content.split(end)[:ROWS]) + end


def main() -> None:
    """Write all seeds."""
    texts = {**files.TEXTS, **files.UNTIMED, "remarks beside": files.beside()}
    for name, text in texts.items():
        keep("text", re.sub(r"\W+", "-", name), short(text))
    with tempfile.TemporaryDirectory() as folder:
        for name, target in OF.items():
            path = Path(folder) / name
            files.FORMS[name](path)
            keep(target, name, path.read_bytes())
            beside = Path(f"{path}.json")
            if beside.exists():
                keep("side_car", beside.name, beside.read_bytes())
    shutil.rmtree(KEPT, ignore_errors=True)
    volts, amperes = files.VOLTS.astype(np.float32), files.AMPERES.astype(np.float32)
    capture = Capture(
        voltage=volts, voltage_scale=1.0, current=amperes, current_from="given", rate=files.RATE
    )
    keep_capture(capture, str(KEPT), sources=())
    keep("kept", "capture.json", (KEPT / "capture.json").read_bytes())


if __name__ == "__main__":
    main()
