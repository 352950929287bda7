"""Captures from files to what the sparks did, through ports alone."""

import json
import math
from dataclasses import replace

import jsonschema  # type: ignore[import-untyped]
import numpy as np
import pytest

from gapwright.app.captures import CaptureHands, CaptureRequest, keep_capture, read_capture
from gapwright.app.documents import as_json, file_schema
from gapwright.app.measured import ledger_of_capture
from gapwright.base.errors import InputRefused
from gapwright.capture.recorder import Recorder, recorded
from gapwright.capture.recording import Channel, Recording
from gapwright.capture.truth_pulses import PulseCourse, pulse_truth
from gapwright.capture.waveform import Segments
from gapwright.study.captures.meter_readings import MeterReadings
from gapwright.wiring import demo_text
from tests.house.code import ROOT
from tests.made_captures import drawn
from tests.unit.capture.recorded import BURNING, OPEN, PEAK, PERIOD, RATE, WIDTH, sparks

COUNT = 60
CHARGE = PEAK * WIDTH / RATE * 2 / math.pi
"""Of one half sine."""


def recording(volts, amperes, **faults) -> Recording:
    channels = (
        Channel(name="gap", unit="V", codes=volts),
        Channel(name="loop", unit="A", codes=amperes, **faults),
    )
    whole = Segments.whole(volts.size)
    return Recording(channels=channels, rate=RATE, segments=whole, form="made up", understood=("as said",))


def hands(*recordings, kept=None) -> CaptureHands:
    made = {f"run-{k}": each for k, each in enumerate(recordings)}
    return CaptureHands(
        record=lambda place, _options: made[place],
        kept=lambda _place: kept,
        text=lambda _place: demo_text("first-build.rig.toml"),
    )


@pytest.fixture(scope="module")
def found():
    return read_capture(CaptureRequest(places=("run-0",)), hands(recording(*sparks(COUNT, noise=0.2))))


def test_every_spark_is_counted_and_accounted(found) -> None:
    answer = found.answer
    assert answer.sparks.count == COUNT
    assert answer.sparks.rate_hz == pytest.approx(RATE / PERIOD, rel=1e-9)
    assert answer.classes["normal"].count == COUNT
    assert answer.open_voltage_v == pytest.approx(OPEN, rel=0.01)
    assert answer.burning_voltage_v == pytest.approx(BURNING, rel=0.01)
    assert answer.charge_c is not None
    assert answer.charge_c.total == pytest.approx(COUNT * CHARGE, rel=0.01)
    assert answer.energy_j is not None
    assert answer.energy_j.median == pytest.approx(BURNING * CHARGE, rel=0.01)
    assert answer.clipped_share == 0.0


def test_the_answer_is_json_that_fits_its_schema(found) -> None:

    answer = json.loads(as_json(found.answer))
    jsonschema.validate(answer, file_schema("capture read"))
    wanted = {
        "channels", "rate_hz", "duration_s", "open_voltage_v", "burning_voltage_v", "sparks", "classes",
        "energy_j", "charge_c", "delay_s", "clipped_share",
    }  # fmt: skip
    assert wanted <= set(answer)
    assert set(answer["sparks"]) == {"count", "rate_hz"}
    assert set(answer["energy_j"]) == {"total", "median", "skew_share", "zero_share"}
    assert set(answer["delay_s"]) == {"mean", "censored"}


def test_the_course_carries_its_curves(found) -> None:
    course = found.answer.course
    assert sum(course.energies.counts) == pytest.approx(COUNT, rel=0.05)
    assert len(course.energies.edges_j) == len(course.energies.counts) + 1
    survivor = course.delay_survivor
    assert survivor.ignitions == COUNT
    assert len(survivor.time_s) == len(survivor.share)
    assert list(survivor.share) == sorted(survivor.share, reverse=True)


def test_a_clipped_current_tells_no_energy() -> None:
    volts, amperes = sparks(COUNT, noise=0.2)
    cut = np.clip(np.round(amperes), -30, 30).astype(np.int8)
    source = recording(volts, cut, rails=(-30.0, 30.0))
    answer = read_capture(CaptureRequest(places=("run-0",)), hands(source)).answer
    assert answer.clipped_share > 0.005
    assert answer.energy_j is None
    assert answer.charge_c is None
    assert answer.course.energies.counts == ()
    assert set(answer.course.windows.energy_j) == {None}
    assert "record again with a wider range" in " ".join(answer.remarks)


def test_a_rig_gives_what_it_knows() -> None:
    request = CaptureRequest(places=("run-0",), rig="first.toml")
    found = read_capture(request, hands(recording(*sparks(COUNT, noise=0.2))))
    assert found.rig is not None
    assert found.answer.levels["time_constant_s"].found == "given"
    assert found.answer.levels["time_constant_s"].value == pytest.approx(0.68e-6 * 180.1, rel=1e-6)


def test_a_rig_that_gives_pulses_lends_no_store() -> None:
    text = (ROOT / "examples" / "iso-pulse.rig.toml").read_text(encoding="utf-8")
    made = pulse_truth(PulseCourse(), count=300, rate=10e6, rng=drawn(11))
    seen = recorded(made, Recorder(), rng=drawn(12))
    source = replace(recording(seen.voltage, seen.current), rate=seen.rate)
    asked = replace(hands(source), text=lambda _place: text)
    found = read_capture(CaptureRequest(places=("run-0",), rig="iso.toml"), asked)
    assert found.answer.generator == "pulse"
    assert "time_constant_s" not in found.answer.levels
    alone = CaptureRequest(places=("run-0",), rig="iso.toml", hookup={"current_channel": "none"})
    with pytest.raises(InputRefused, match="a capture of a pulse generator must hold a current"):
        read_capture(alone, asked)
    ledger = ledger_of_capture(found, MeterReadings(supply_voltage=80.0, supply_current=4.0))
    assert "store" not in {line.stage for line in ledger.lines}
    assert abs(ledger.as_ledger().balance_error) < 1e-12


def test_files_of_one_run_are_read_as_one() -> None:
    parts = [recording(*sparks(COUNT // 2, noise=0.2, seed=k)) for k in range(2)]
    answer = read_capture(CaptureRequest(places=("run-0", "run-1")), hands(*parts)).answer
    assert (answer.segments, answer.sparks.count) == (2, COUNT)


def test_a_kept_capture_takes_no_options_of_the_recorder(found) -> None:
    again = read_capture(CaptureRequest(places=("run",)), hands(kept=found.capture))
    assert again.answer.sparks == found.answer.sparks
    assert again.answer.form == "kept capture"
    with pytest.raises(InputRefused, match="takes no other file and no options"):
        read_capture(
            CaptureRequest(places=("run",), hookup={"voltage_probe": 10.0}), hands(kept=found.capture)
        )
    with pytest.raises(InputRefused, match="takes no other file"):
        read_capture(CaptureRequest(places=("run", "more")), hands(kept=found.capture))


def test_options_stand_before_what_stands_beside_the_file() -> None:
    volts, amperes = sparks(COUNT, noise=0.2)
    source = replace(recording(volts / 10.0, amperes), hookup={"voltage_probe": 5.0})
    answers = [
        read_capture(CaptureRequest(places=("run-0",), hookup=more), hands(source)).answer
        for more in ({}, {"voltage_probe": 10.0})
    ]
    assert [round(answer.open_voltage_v / OPEN, 2) for answer in answers] == [0.5, 1.0]


def test_a_voltage_alone_is_refused_without_a_capacitance() -> None:
    volts, _ = sparks(COUNT, noise=0.2)
    alone = Recording(
        channels=(Channel(name="gap", unit="V", codes=volts),),
        rate=RATE,
        segments=Segments.whole(volts.size),
        form="made up",
    )
    with pytest.raises(InputRefused, match="must come with the capacitance of its store"):
        read_capture(CaptureRequest(places=("run-0",)), hands(alone))


def test_no_file_is_refused() -> None:
    with pytest.raises(InputRefused, match="at least one file"):
        read_capture(CaptureRequest(places=()), hands())


def test_keeping_names_the_files(found) -> None:
    kept = []
    keep_capture(found, "folder", keep=lambda _capture, folder, *, sources: kept.append((folder, sources)))
    assert kept == [("folder", ("run-0",))]
