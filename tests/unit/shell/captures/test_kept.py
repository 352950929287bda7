"""A kept capture comes back as it was, exact, mapped; half of one is never left behind."""

import json

import numpy as np
import pytest

from gapwright.base.errors import InputRefused, StoreFault
from gapwright.capture.pyramid import window
from gapwright.capture.waveform import Capture, Segments
from gapwright.shell.captures import kept
from tests.unit.shell.captures import files


def capture(**changes) -> Capture:
    given = {
        "voltage": files.COUNTS.copy(),
        "voltage_scale": 0.5,
        "current": files.AMPERES.astype(np.float32),
        "current_from": "shunt",
        "current_bandwidth": 20e6,
        "rate": files.RATE,
        "start": files.START,
        "segments": Segments(
            starts=np.array([0, 100]), lengths=np.array([100, files.COUNT - 100]), times=np.array([0.0, 1.0])
        ),
        "skew": 1e-9,
        "voltage_clipped": 0.25,
    }
    return Capture(**given | changes)


@pytest.fixture
def source(tmp_path):
    place = tmp_path / "run.csv"
    files.write_csv(place)
    return str(place)


def test_a_capture_comes_back(tmp_path, source) -> None:
    first = capture()
    place = str(kept.keep(first, str(tmp_path / "run.capture"), sources=(source,)))
    again = kept.kept_capture(place)
    assert kept.is_kept(place)
    assert np.array_equal(again.volts(), first.volts())
    assert again.voltage.dtype == np.int16
    np.testing.assert_allclose(again.amperes(), first.amperes(), rtol=1e-6, atol=0)
    for name in ("rate", "start", "skew", "voltage_clipped", "current_from", "current_bandwidth"):
        assert getattr(again, name) == getattr(first, name)
    assert again.segments.times.tolist() == [0.0, 1.0]
    assert isinstance(again.voltage, np.memmap)


def test_steps_of_a_converter_are_kept_as_counts(tmp_path, source) -> None:
    place = str(kept.keep(capture(), str(tmp_path / "run.capture"), sources=(source,)))
    assert kept.kept_capture(place).current.dtype == np.int16


def test_samples_without_steps_stay_as_they_are(tmp_path, source) -> None:
    noise = np.random.default_rng(1).normal(size=files.COUNT).astype(np.float32)
    place = str(kept.keep(capture(current=noise), str(tmp_path / "run.capture"), sources=(source,)))
    assert np.array_equal(kept.kept_capture(place).amperes(), noise)


def test_the_record_names_its_source(tmp_path, source) -> None:
    import hashlib
    from pathlib import Path

    place = str(kept.keep(capture(), str(tmp_path / "run.capture"), sources=(source,)))
    (named,) = kept.kept_record(place).sources
    assert named.name == "run.csv"
    assert named.sha256 == hashlib.sha256(Path(source).read_bytes()).hexdigest()


def test_extremes_come_with_it(tmp_path, source) -> None:
    place = str(kept.keep(capture(), str(tmp_path / "run.capture"), sources=(source,)))
    voltage = kept.kept_capture(place).voltage
    view = window(voltage, kept.kept_pyramid(place, "voltage", voltage), start=0, stop=600, columns=2)
    assert view.greatest.max() == files.COUNTS.max()


def test_nothing_is_overwritten(tmp_path, source) -> None:
    place = str(tmp_path / "run.capture")
    kept.keep(capture(), place, sources=(source,))
    with pytest.raises(InputRefused, match="exists already and is not overwritten"):
        kept.keep(capture(), place, sources=(source,))


def test_a_full_disk_leaves_nothing(tmp_path, source, monkeypatch) -> None:
    before = sorted(path.name for path in tmp_path.iterdir())

    def full(*_args: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("gapwright.shell.captures.kept.os.fsync", full)
    with pytest.raises(StoreFault, match="no space left"):
        kept.keep(capture(), str(tmp_path / "run.capture"), sources=(source,))
    assert sorted(path.name for path in tmp_path.iterdir()) == before


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"rate_hz": 0.0}, "rate_hz in"),
        ({"file": "rig"}, "file in"),
        ({"more": 1}, "more in"),
        ({"skew_s": None}, "skew_s in"),
    ],
)
def test_a_wrong_record_is_refused(change, said, tmp_path, source) -> None:
    place = kept.keep(capture(), str(tmp_path / "run.capture"), sources=(source,))
    record = place / kept.RECORD
    record.write_text(json.dumps(json.loads(record.read_text()) | change))
    with pytest.raises(InputRefused, match=said):
        kept.kept_capture(str(place))


def test_arrays_that_do_not_belong_are_refused(tmp_path, source) -> None:
    place = kept.keep(capture(), str(tmp_path / "run.capture"), sources=(source,))
    np.save(place / "current.npy", np.zeros(3, dtype=np.float32))
    with pytest.raises(InputRefused, match="current must have as many samples"):
        kept.kept_capture(str(place))
    (place / "current.npy").write_bytes(b"cut")
    with pytest.raises(InputRefused, match="whole 'current.npy'"):
        kept.kept_capture(str(place))
