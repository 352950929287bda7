from base64 import b64decode
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from gapwright.app.capture_answer import capture_answer
from gapwright.app.capture_bench import (
    DISCHARGES,
    beside_forecast,
    capture_sight,
    codes_of,
    energy_sight,
    ledger_sight,
)
from gapwright.app.capture_views import OpenCapture
from gapwright.app.capture_window import MOST_DOTS, spark_at, spark_columns, spark_near, window_columns
from gapwright.app.captures import CaptureInHand, extremes_made
from gapwright.base.errors import InputRefused
from gapwright.capture.classify import CLASS_NAMES
from gapwright.capture.reading import understand
from gapwright.capture.scaling import Hooked
from gapwright.capture.settings import ReadingSettings
from gapwright.rig.reading import rig_from_text
from gapwright.study.captures.meter_readings import MeterReadings
from gapwright.study.grounds.outcome import Banded
from gapwright.wiring import demo_text
from tests.made_captures import captured
from tests.made_up import forecast


@cache
def opened(name: str = "resistor", *, rig: bool = False) -> OpenCapture:
    capture = captured(name, "twelve bits", count=300)
    reading = understand(capture, ReadingSettings())
    made = Hooked(capture=capture, voltage_channel="Gap", current_channel="Loop")
    known = rig_from_text(demo_text("first-build.rig.toml"), "first-build") if rig else None
    found = CaptureInHand(
        answer=capture_answer(("run.csv",), None, made, reading), capture=capture, reading=reading, rig=known
    )
    return OpenCapture(found=found, pyramids=extremes_made((), capture), end_s=capture.duration)


def test_a_sight_says_what_was_recorded_in_words() -> None:
    sight = capture_sight(opened())
    answer = opened().found.answer
    assert sight.says.startswith(f"{answer.sparks.count} sparks in ")
    shares = [
        float(part.split(" %")[0].split()[-1]) for part in sight.says.split("Of all events: ")[1].split(", ")
    ]
    assert sum(shares) == pytest.approx(100.0, rel=0.02)
    assert shares == sorted(shares, reverse=True)
    assert sight.headline == answer.course.meaning[0].text


def test_a_histogram_holds_every_discharge_once() -> None:
    whole = energy_sight(opened().found, frozenset())
    assert whole is not None
    values = np.frombuffer(b64decode(whole.count.f32), "<f4")
    assert values.sum() + whole.beyond == whole.sparks
    parts = [energy_sight(opened().found, frozenset({name})) for name in CLASS_NAMES]
    assert sum(part.sparks for part in parts if part is not None) == whole.sparks
    assert energy_sight(opened().found, frozenset({"contact"})) is None


def test_only_what_is_counted_alike_stands_beside_the_forecast() -> None:
    answer, told = opened().found.answer, forecast()
    rows = {row.name: row for row in beside_forecast(answer, told)}
    assert {name for name in rows if name.startswith("time")} == {"time shorted"}
    among = sum(answer.classes[name].count for name in DISCHARGES)
    normal = 100 * answer.classes["normal"].count / among
    assert float(rows["normal among discharges"].measured.split()[0]) == pytest.approx(normal, rel=0.02)
    rate = answer.sparks.rate_hz
    wide, one = Banded(median=rate, low=0.9 * rate, high=1.1 * rate), Banded(median=rate, low=rate, high=rate)
    for band, within in ((wide, True), (Banded(median=1.0, low=1.0, high=2.0), False), (one, None)):
        sparks = replace(told.sparks, rate_hz=band)
        assert beside_forecast(answer, replace(told, sparks=sparks))[0].within is within


def test_a_measured_flow_is_drawn_like_a_rigs_unless_instruments_contradict() -> None:
    fine = ledger_sight(opened(rig=True).found, MeterReadings(), forecast=forecast())
    assert fine.flow is not None
    assert fine.flow.stages[0].came_in_w == pytest.approx(fine.ledger.lines[0].power_w)
    assert fine.flow.says.startswith("As measured, what arrives: ")
    assert fine.forecast is not None
    starved = MeterReadings(supply_voltage=1.0, supply_current=0.01)
    odd = ledger_sight(opened(rig=True).found, starved, forecast=None)
    assert odd.flow is None
    assert odd.ledger.doubts


def test_a_window_is_the_samples_where_they_fit() -> None:
    one = opened()
    capture = one.found.capture
    shown, single = window_columns(one, span=(0.0, 50 / capture.rate), columns=400)
    assert single
    assert shown["voltage_least_v"] == pytest.approx(capture.volts(0, len(shown["left_s"])), rel=1e-5)
    wide, single = window_columns(one, span=(0.0, one.end_s), columns=100)
    assert not single
    assert wide["voltage_greatest_v"].max() == pytest.approx(capture.volts().max(), rel=1e-5)


def test_many_sparks_are_thinned_fairly_and_rare_ones_stay(monkeypatch: pytest.MonkeyPatch) -> None:
    found = opened().found
    everything, counts = spark_columns(found, span=(0.0, 1e3), classes=frozenset())
    assert len(everything["row"]) == sum(counts.values()) <= MOST_DOTS
    monkeypatch.setattr("gapwright.app.capture_window.MOST_DOTS", 60)
    some, told = spark_columns(found, span=(0.0, 1e3), classes=frozenset())
    assert told == counts
    assert len(some["row"]) <= 60
    kept = np.bincount(some["class"].astype(int), minlength=len(CLASS_NAMES))
    for name, count in counts.items():
        if 0 < count <= 60 // len(CLASS_NAMES):
            assert kept[CLASS_NAMES.index(name)] == count
    assert np.all(np.diff(some["start_s"]) > 0)


def test_the_event_at_a_time_is_the_one_that_goes_on_or_the_nearest() -> None:
    found = opened().found
    table = found.reading.sparks
    for row in (0, 17, table.count - 1):
        inside = float(table.start_s[row] + 0.5 * table.duration_s[row])
        assert spark_near(found, inside, classes=frozenset()).row == row
    assert spark_near(found, 1e6, classes=frozenset()).row == table.count - 1
    only = spark_near(found, 0.0, classes=frozenset({"partial"}))
    assert only.name == "partial"
    assert only.before is None
    assert only.after is not None
    assert spark_at(found, only.after, classes=frozenset({"partial"})).before == only.row


def test_what_there_is_not_is_refused() -> None:
    found = opened().found
    with pytest.raises(InputRefused, match="a class must be one of open, normal"):
        codes_of(frozenset({"odd"}))
    with pytest.raises(InputRefused, match="an event must be between 0 and"):
        spark_at(found, -1, classes=frozenset())
    with pytest.raises(InputRefused, match="there is no event of these classes"):
        spark_near(found, 0.0, classes=frozenset({"contact"}))
