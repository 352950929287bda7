"""The streaming pass: equal to the plain one, to itself in pieces, and over all kinds of samples."""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import numpy as np
import pytest

from gapwright.capture import _rows_kernel as k
from gapwright.capture import segment
from gapwright.capture.calibration import calibrated
from gapwright.capture.segment import Pass, segmented, stretch_of
from gapwright.capture.settings import AS_FOUND
from gapwright.capture.waveform import Capture, Segments
from tests.capture_by_hand import ByHand
from tests.made_captures import captured


def stretch(name, recorder="float", **how):
    capture = captured(name, recorder, **how)
    return stretch_of(capture, 0, calibrated(capture, AS_FOUND).edges)


def same(one, other):
    return np.array_equal(one.marks, other.marks) and np.array_equal(one.sums, other.sums)


@pytest.mark.parametrize("name", ["resistor", "pulses"])
@pytest.mark.parametrize("recorder", ["float", "twelve bits", "eight bits"])
def test_the_compiled_pass_is_the_plain_one(name: str, recorder: str) -> None:
    s = stretch(name, recorder, count=60)
    marks, sums = ByHand(s.voltage, s.current, s.voltage_edges[0], s.current_edges[0], s.numbers).through()
    rows = segmented(s)
    assert len(marks) > 40
    assert np.array_equal(rows.marks, marks)
    assert np.allclose(rows.sums, sums, rtol=1e-9, atol=0)


@pytest.mark.parametrize("name", ["resistor", "pulses"])
def test_pieces_join_to_the_bit(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(segment, "LEAD", 5000)
    s = stretch(name)
    whole = segmented(s)
    with ThreadPoolExecutor(2) as pool:
        halves = segmented(s, pieces=2, run=pool.map)
        sevenths = segmented(s, pieces=7, run=pool.map)
    assert whole.count > 1000
    assert same(whole, halves)
    assert same(whole, sevenths)


def test_pieces_without_a_common_end_go_on_in_one(monkeypatch: pytest.MonkeyPatch) -> None:
    # A single discharge across every border: later pieces begin within it and never meet the first.
    monkeypatch.setattr(segment, "LEAD", 1000)
    i = np.full(40_000, 5.0, np.float32)
    i[:100] = i[-100:] = 0.0
    v = np.full(40_000, 20.0, np.float32)
    edges = replace(calibrated(captured("resistor"), AS_FOUND).edges, zero=0.0)
    s = stretch_of(Capture(voltage=v, voltage_scale=1.0, current=i, rate=1e6, current_from="given"), 0, edges)
    assert same(segmented(s), segmented(s, pieces=4))
    assert np.count_nonzero(segmented(s).marks[:, k.M_KIND] == k.DISCHARGE) == 1


def test_small_steps_and_few_rows_change_nothing() -> None:
    s = stretch("pulses", count=100)
    going = Pass(s)
    for stop in range(777, s.count + 777, 777):
        going.go(min(stop, s.count), room=3)
    going.finish()
    assert same(segmented(s), going.rows())


def test_a_stop_is_heard() -> None:
    def stop(done: int, total: int, what: str) -> bool:
        return False

    with pytest.raises(KeyboardInterrupt):
        segmented(stretch("resistor", count=60), progress=stop)


def test_an_inverted_channel_reads_the_same() -> None:
    plain = captured("resistor", "twelve bits", count=60)
    assert plain.current is not None
    turned = replace(
        plain, current=~plain.current, current_scale=-plain.current_scale, current_offset=-plain.current_scale
    )
    edges = calibrated(plain, AS_FOUND).edges
    one, other = segmented(stretch_of(plain, 0, edges)), segmented(stretch_of(turned, 0, edges))
    assert np.array_equal(one.marks, other.marks)
    assert np.allclose(one.sums, other.sums, rtol=1e-12, atol=0)


def test_each_segment_is_read_by_itself() -> None:
    capture = captured("resistor", count=200)
    n = capture.count
    cut = replace(
        capture,
        segments=Segments(
            starts=np.array([0, n // 2]), lengths=np.array([n // 2, n - n // 2]), times=np.array([0.0, 9.0])
        ),
    )
    edges = calibrated(capture, AS_FOUND).edges
    second = segmented(stretch_of(cut, 1, edges))
    assert second.marks[0, k.M_BEGIN] == 0
    assert stretch_of(cut, 1, edges).count == n - n // 2
