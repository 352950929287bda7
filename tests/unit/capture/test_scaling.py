"""Channels become gap voltage and current by factor, sign, zero and skew; ambiguity is refused."""

from dataclasses import replace

import numpy as np
import pytest

from gapwright.base.errors import InputRefused
from gapwright.capture.reading import understand
from gapwright.capture.recorder import Recorder, recorded
from gapwright.capture.recording import Channel, Recording, joined
from gapwright.capture.scaling import Hookup, hooked
from gapwright.capture.skew import current_skew
from gapwright.capture.waveform import Segments
from tests.made_captures import drawn, truth
from tests.unit.capture.recorded import PEAK, RATE, sparks


def recording(*channels, rate=RATE, start=0.0, segments=None) -> Recording:
    size = channels[0].codes.size
    return Recording(
        channels=channels,
        rate=rate,
        start=start,
        segments=segments or Segments.whole(size),
        form="made up",
    )


def channel(codes, name="one", unit="V", **more) -> Channel:
    return Channel(name=name, unit=unit, codes=np.asarray(codes, dtype=np.float32), **more)


def two(**faults) -> Recording:
    volts, amperes = sparks(**faults)
    return recording(channel(volts, "gap"), channel(amperes, "loop", "A"))


def test_units_say_which_is_which() -> None:
    made = hooked(two(), Hookup())
    assert (made.voltage_channel, made.current_channel) == ("gap", "loop")
    assert made.capture.current_from == "given"
    assert made.capture.amperes().max() == pytest.approx(PEAK, rel=1e-3)


def test_probe_sign_and_shunt_scale_the_values() -> None:
    volts, amperes = sparks()
    source = recording(channel(-volts / 10, "a"), channel(-amperes * 0.01, "b"))
    hookup = Hookup(
        voltage_probe=10.0, voltage_inverted=True, current_channel="b", shunt=0.01, current_inverted=True
    )
    capture = hooked(source, hookup).capture
    np.testing.assert_allclose(capture.volts(), volts, rtol=1e-5, atol=0)
    assert capture.amperes().max() == pytest.approx(amperes.max(), rel=1e-5)
    assert capture.current_from == "shunt"


def test_a_clamp_scales_the_current() -> None:
    volts, amperes = sparks()
    source = recording(channel(volts, "a"), channel(amperes * 0.1, "b"))
    capture = hooked(source, Hookup(current_channel="2", clamp=0.1, current_bandwidth=1e6)).capture
    assert capture.amperes().max() == pytest.approx(amperes.max(), rel=1e-5)
    assert (capture.current_from, capture.current_bandwidth) == ("clamp", 1e6)


def test_one_channel_is_the_voltage() -> None:
    made = hooked(recording(channel(sparks()[0])), Hookup())
    assert made.capture.current is None
    assert made.current_channel == ""


def test_a_named_voltage_beside_an_unknown_channel_stands_alone() -> None:
    volts, amperes = sparks()
    source = recording(channel(volts, "a"), channel(amperes, "b"))
    assert hooked(source, Hookup(voltage_channel="a")).capture.current is None


def test_a_current_can_be_left_out() -> None:
    made = hooked(two(), Hookup(current_channel="none"))
    assert (made.voltage_channel, made.current_channel) == ("gap", "")
    assert hooked(two(), Hookup(voltage_channel="1", current_channel="none")).capture.current is None


@pytest.mark.parametrize(
    ("hookup", "said"),
    [
        (Hookup(), "which channel is the current, got a \\[V\\], b \\[V\\]"),
        (Hookup(current_channel="b"), "'b' is in volts, so its shunt or clamp must be given"),
        (Hookup(voltage_channel="a", current_channel="a"), "must be two channels"),
        (Hookup(voltage_channel="c"), "a channel must be one of a, b or a number from 1 to 2, got 'c'"),
    ],
)
def test_what_is_ambiguous_is_refused(hookup, said) -> None:
    volts, amperes = sparks(count=2)
    with pytest.raises(InputRefused, match=said):
        hooked(recording(channel(volts, "a"), channel(amperes, "b")), hookup)


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"shunt": 0.01, "clamp": 0.1}, "a shunt or a clamp, got both"),
        ({"voltage_probe": 0.0}, "voltage_probe must be above 0"),
        ({"shunt": -1.0}, "shunt must be above 0"),
        ({"current_delay": float("nan")}, "current_delay must be a finite number"),
    ],
)
def test_a_wrong_hookup_is_refused(wrong, said) -> None:
    with pytest.raises(InputRefused, match=said):
        Hookup(**wrong)


def test_the_zero_of_the_current_is_found() -> None:
    volts, amperes = sparks(noise=0.05)
    made = hooked(recording(channel(volts), channel(amperes + 0.7, "i", "A")), Hookup())
    assert made.zero is not None
    assert made.zero.at_start == pytest.approx(0.7, rel=0.01)
    assert abs(float(np.median(made.capture.amperes()))) < 0.01


def test_a_drift_is_followed() -> None:
    volts, amperes = sparks(count=200, noise=0.05)
    drift = np.linspace(-0.5, 1.5, amperes.size)
    made = hooked(recording(channel(volts), channel(amperes + drift, "i", "A")), Hookup())
    assert made.zero is not None
    assert made.zero.drift == pytest.approx(2.0 / (amperes.size / RATE), rel=0.05)
    left = made.capture.amperes()
    assert abs(float(np.median(left[:50_000]))) < 0.05
    assert abs(float(np.median(left[-50_000:]))) < 0.05


def test_a_current_that_never_rests_has_no_zero() -> None:
    volts, _ = sparks(count=4)
    with pytest.raises(InputRefused, match="must rest near 0 A"):
        hooked(recording(channel(volts), channel(np.full_like(volts, 9.0), "i", "A")), Hookup())


@pytest.mark.parametrize("late", [7.3, -4.6, 0.25])
def test_the_skew_is_found_from_the_edges(late) -> None:
    made = hooked(two(late=late, noise=0.1), Hookup(current_delay="find"))
    assert made.skew is not None
    assert abs(made.skew.seconds * RATE - late) < 0.6
    assert abs(made.skew.seconds * RATE - late) < 2.0 * made.skew.uncertainty * RATE
    assert abs(made.capture.skew) <= 0.5 / RATE


@pytest.mark.parametrize("late", [0, 7])
@pytest.mark.parametrize("name", ["resistor", "pump", "pulses"])
def test_its_uncertainty_covers_the_truth_of_every_generator(name, late) -> None:
    known = truth(name, 300)
    seen = recorded(known, Recorder(skew=late / known.rate), rng=drawn(31))
    found = current_skew(seen.volts(), seen.amperes(), rate=known.rate)
    assert abs(found.seconds * known.rate - late) < 2.5 * found.uncertainty * known.rate
    assert found.uncertainty * known.rate < 3.0


def test_too_few_edges_have_no_skew() -> None:
    with pytest.raises(InputRefused, match="at least 12 clear edges, got 3"):
        hooked(two(count=3), Hookup(current_delay="find"))


@pytest.mark.parametrize("samples", [5, -5])
def test_whole_samples_of_delay_are_taken_out(samples) -> None:
    source = two(late=samples)
    capture = hooked(source, Hookup(current_delay=samples / RATE, current_zero=0.0)).capture
    volts, amperes = sparks()
    early = max(-samples, 0)
    np.testing.assert_array_equal(capture.volts(), volts[early : volts.size - max(samples, 0)])
    np.testing.assert_allclose(
        capture.amperes(), amperes[early : volts.size - max(samples, 0)], rtol=1e-5, atol=0
    )
    assert capture.start == pytest.approx(early / RATE, rel=1e-9)


def test_each_segment_is_straightened_by_itself() -> None:
    volts = np.arange(10, dtype=np.float32)
    parts = Segments(starts=np.array([0, 4]), lengths=np.array([4, 6]), times=np.array([0.0, 1.0]))
    source = recording(channel(volts), channel(volts, "i", "A"), rate=1.0, segments=parts)
    capture = hooked(source, Hookup(current_delay=1.0, current_zero=0.0)).capture
    assert capture.volts().tolist() == [0, 1, 2, 4, 5, 6, 7, 8]
    assert capture.amperes().tolist() == [1, 2, 3, 5, 6, 7, 8, 9]
    assert capture.segments.lengths.tolist() == [3, 5]
    with pytest.raises(InputRefused, match="shorter than each segment"):
        hooked(source, Hookup(current_delay=4.0, current_zero=0.0))


def test_files_of_one_run_are_joined_by_their_own_times() -> None:
    parts = [recording(channel([1.0, 2.0]), rate=1.0, start=float(at)) for at in (5, 10)]
    whole = joined(parts)
    assert whole.channels[0].codes.tolist() == [1, 2, 1, 2]
    assert whole.segments.times.tolist() == [0.0, 5.0]
    assert whole.start == 5.0


def test_files_are_put_in_the_order_of_their_times_and_that_is_said() -> None:
    late, early = (recording(channel([at, at]), rate=1.0, start=at) for at in (10.0, 5.0))
    whole = joined([late, early])
    assert whole.channels[0].codes.tolist() == [5, 5, 10, 10]
    assert whole.segments.times.tolist() == [0.0, 5.0]
    assert whole.start == 5.0
    assert "put in the order of their times" in " ".join(whole.understood)
    assert "put in the order" not in " ".join(joined([early, late]).understood)


def test_files_that_say_no_time_are_set_one_after_another() -> None:
    parts = [recording(channel([1.0, 2.0]), rate=1.0) for _ in range(3)]
    whole = joined(parts)
    assert whole.segments.times.tolist() == [0.0, 2.0, 4.0]
    assert "the time between the files is not known" in " ".join(whole.understood)


@pytest.mark.parametrize(
    ("other", "said"),
    [
        (recording(channel([1.0]), rate=2.0), "must have one sample rate"),
        (recording(channel([1.0], "two"), rate=1.0), "must have the same channels"),
    ],
)
def test_files_of_other_runs_are_not_joined(other, said) -> None:
    with pytest.raises(InputRefused, match=said):
        joined([recording(channel([1.0]), rate=1.0), other])


def test_a_skew_that_is_left_shows_in_the_energy() -> None:
    capture = hooked(two(count=60, noise=0.05), Hookup()).capture
    assert understand(capture).skew_share == 0.0
    left = understand(replace(capture, skew_uncertainty=0.5 / RATE))
    volts, amperes = sparks(60)
    whole, late, early = (float(volts @ np.roll(amperes, shift)) for shift in (0, 1, -1))
    moved = 0.5 * max(abs(late - whole), abs(early - whole)) / whole
    assert left.skew_share == pytest.approx(moved, rel=0.2)


def test_a_slow_sensor_is_told() -> None:
    capture = hooked(two(count=60, noise=0.05), Hookup()).capture
    slow = understand(replace(capture, current_bandwidth=1e6)).notes
    assert any("takes 3.5e-07 s to rise" in note for note in slow)
    assert not any("to rise" in note for note in understand(replace(capture, current_bandwidth=50e6)).notes)


def test_sparks_that_reached_the_end_of_the_range_are_flagged() -> None:
    volts, amperes = sparks(60, noise=0.05)
    tall = (np.arange(60) % 3 == 0).repeat(volts.size // 60)
    cut = np.clip(np.round(np.where(tall, 1.0, 0.5) * amperes * 3.0), -100, 100).astype(np.int8)
    loop = Channel(name="loop", unit="A", codes=cut, scale=1 / 3.0, rails=(-100.0, 100.0))
    capture = hooked(recording(channel(volts, "gap"), loop), Hookup()).capture
    flags = understand(capture).sparks.columns()["flags"]
    assert [("clipped" in each) for each in flags] == [k % 3 == 0 for k in range(60)]
