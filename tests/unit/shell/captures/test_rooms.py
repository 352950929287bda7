"""Rows that are too large for memory lie in files, read the same, and leave memory alone."""

import tracemalloc

import numpy as np
import pytest

from gapwright.shell.captures import arrays, rooms
from gapwright.shell.captures.reading import recording_at
from tests.unit.shell.captures import files


@pytest.mark.parametrize("name", files.FORMS)
def test_large_rows_lie_in_files_and_read_the_same(name, tmp_path, monkeypatch) -> None:
    path = tmp_path / name
    files.FORMS[name](path)
    usual = recording_at(str(path), {})
    monkeypatch.setattr(rooms, "IN_MEMORY", 100)
    for place in (rooms, arrays):
        monkeypatch.setattr(place, "AT_ONCE", 77)
    again = recording_at(str(path), {})
    for one, other in zip(usual.channels, again.channels, strict=True):
        assert np.array_equal(one.codes, other.codes)
        assert (one.scale, one.offset, one.rails) == (other.scale, other.offset, other.rails)


def test_memory_is_bounded(tmp_path, monkeypatch) -> None:
    monkeypatch.setattr(rooms, "IN_MEMORY", 1 << 16)
    for place in (rooms, arrays):
        monkeypatch.setattr(place, "AT_ONCE", 1 << 14)
    both = np.zeros((1_000_000, 2), dtype=np.int16)
    both[::7] = 5
    both.tofile(tmp_path / "run.bin")
    files.side_car(tmp_path / "run.bin", type="int16", rate_hz=1e6, channels=[{"unit": "V"}, {"unit": "A"}])
    np.savez(tmp_path / "run.npz", rate=np.array(1e6), volts=both[:, 0], amperes=both[:, 1])
    np.save(tmp_path / "run.npy", both)
    for name in ("run.bin", "run.npz", "run.npy"):
        tracemalloc.start()
        recording = recording_at(str(tmp_path / name), {"rate": 1e6} if name == "run.npy" else {})
        peak = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        assert recording.count == 1_000_000
        assert peak < 0.5 * both.nbytes
