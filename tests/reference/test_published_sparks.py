"""Figures of sparks that need more than one law: a test cell, a pulse count, steps of a dry axis."""

from functools import cache

import numpy as np
import pytest

from gapwright.app.edits import edited
from gapwright.capture.reading import CaptureReading, understand
from gapwright.capture.recorder import Recorder, recorded
from gapwright.capture.truth_pulses import PulseCourse, pulse_truth
from gapwright.facts.liquids import liquid
from gapwright.facts.priors import prior
from gapwright.gap.delay import Hazard, ignition_rate
from gapwright.rig.reading import job_from_text, rig_from_text
from gapwright.study.drilling.drilling import Luck, Tip, Watch, course
from gapwright.study.drilling.one_member import typical_spark_energy
from gapwright.study.drilling.records_kept import TICK_COLUMNS, Wanted
from gapwright.study.generator.network import charge_map_of
from gapwright.study.grounds import _drilling_state as state
from gapwright.study.grounds.assemble import bench
from gapwright.study.grounds.member_setting import setting
from gapwright.study.grounds.uncertain import median_member, uncertain_constants
from gapwright.wiring import demo_text
from tests.made_captures import drawn
from tests.printed import printed
from tests.reference.test_servo_on_a_hole import Ticks

CELL, STOPS = 2.5e-3, 60e3  # m between the electrodes; V at which most sets stop
OILS = ("erosion-oil", "kerosene")
AT = {name: place for place, name in enumerate(TICK_COLUMNS)}


@pytest.mark.source("iec-60156", "electrodes 2.5 mm apart; sets stop at 60 kV: 24 kV/mm")
@pytest.mark.parametrize("name", OILS)
def test_clean_oil_breaks_down_within_the_range_of_the_test_cell(name):
    """New oil holds at least 30 kV as delivered (iec-60296, from memory)."""
    assert printed("24e6") == STOPS / CELL
    strength = liquid(name).fact("breakdown_strength")
    assert strength.low is not None
    assert strength.high is not None
    assert 30e3 <= CELL * strength.low <= CELL * strength.high <= STOPS


@pytest.mark.source("iec-60156", "electrodes 2.5 mm apart; sets stop at 60 kV: 24 kV/mm")
def test_the_cells_field_lies_between_a_working_gaps_and_the_clean_liquids():
    """What strikes at once must bear more than a clean gap of millimetres, a dirty working gap less."""
    intrinsic, working = prior("intrinsic-field"), prior("effective-field-oil")
    assert intrinsic.low is not None
    assert working.high is not None
    assert working.high < STOPS / CELL < intrinsic.low


@pytest.mark.source("iec-60156", "ramp of 2 kV/s; new oil holds at least 30 kV (iec-60296, from memory)")
@pytest.mark.xfail(strict=True, reason="the law of a working gap gives under 2 kV: it holds for µs and µm")
def test_a_working_gaps_law_carried_to_the_test_cell():
    hazard = Hazard(reference_field=prior("effective-field-oil").median)
    volts = np.linspace(10.0, STOPS, 20_001)
    # The nearest square centimetre of the rounded electrodes; a tenth of it changes the answer by a third.
    rates = [ignition_rate(V, CELL, area=1e-4, dead_voltage=0.0, hazard=hazard) for V in volts]
    struck = volts[np.searchsorted(np.cumsum(rates) * (volts[1] - volts[0]) / 2e3, 1.0)]
    assert struck >= 30e3


PULSES, MINUTES, CLASSES, CLASS = 2.8e6, 7.25, 450, 0.25e-6


@cache
def counted() -> tuple[CaptureReading, float]:
    """A made capture at the published rate, read; and its true mean delay. The rest is our own choice."""
    period = MINUTES * 60.0 / PULSES
    on_time = CLASSES * CLASS
    made = PulseCourse(on_time=on_time, off_time=period - on_time, mean_delay=18e-6, shares={"pulse": 1.0})
    truth = pulse_truth(made, count=1200, rate=10e6, rng=drawn(28))
    delays = truth.events["delay"]
    return understand(recorded(truth, Recorder(bits=12), rng=drawn(2))), float(np.nanmean(delays))


@pytest.mark.source("weck-dehmer-1992", "2.8 million pulses in 7.25 min, 450 delay classes of 0.25 µs")
def test_pulses_are_counted_at_the_published_rate():
    read, _ = counted()
    pulses = sum(read.statistics.counts.values()) / read.statistics.duration_s
    assert printed("6.44") == 1e-3 * PULSES / (MINUTES * 60.0)
    assert pulses == pytest.approx(6440.0, rel=2e-3)


@pytest.mark.source("weck-dehmer-1992", "450 delay classes of 0.25 µs: an on-time of 112.5 µs")
def test_delays_fall_into_the_published_classes():
    read, true_mean = counted()
    delays = read.sparks.delay_s[read.sparks.fired]
    assert delays.min() >= 0.0
    assert delays.max() <= CLASSES * CLASS
    assert delays.mean() == pytest.approx(true_mean, rel=0.01)


DRY = {
    "generator.resistor.resistance": "100 ohm",
    "generator.capacitor.capacitance": "10 uF",
    "axis.backlash": "0 µm",
    "axis.lag": "1 ms",
    "axis.max_speed": "5 mm/s",
    "axis.acceleration": "1000 mm/s²",
    "controller.sample_time": "1 ms",
    "controller.filter_time": "2 ms",
    "controller.retract_speed": "3 mm/s",
    "controller.gain": "0.02 mm/s",
}
"""48 V through 100 Ω into 10 µF, ticks of 1 kHz. The gain keeps gain times slope times lag at 0.25:
at 150 V/µm the whole voltage lies within 0.32 µm, and the lag is 4 ms."""
BRISK = {"controller.gain": "0.2 mm/s", "controller.retract_speed": "0.3 mm/s"}
"""Ten times that gain, with which the electrode is soon back after a short; it goes back a tenth as fast."""
EVEN = 1e3
"""On the width of craters: so wide that a spark takes evenly from the whole face."""
LONG = 10.0  # s


@cache
def dry_drilling(step: str, seed: int, crater: float, brisk: bool) -> tuple[float, float]:
    """Sparks a second and share of time shorted of a dry drilling, from the first spark on."""
    changes = DRY | (BRISK if brisk else {}) | {"axis.resolution": step}
    rig = rig_from_text(edited("rig", demo_text("dry-start.rig.toml"), changes), "rig")
    job = job_from_text(demo_text("dry-start.job.toml"), "job")
    made, ticks = bench(rig, job), Ticks()
    charge, member = charge_map_of(made), median_member(uncertain_constants(rig, job))
    s = setting(made, member, charge, spark_energy=typical_spark_energy(charge, made), batch=1)
    done = course(
        s._replace(time_limit=LONG, width_factor=crater),
        charge,
        tip=Tip(),
        luck=Luck(seed=seed, member=0),
        watch=Watch(wanted=Wanted(keeper=ticks)),
    )
    assert done.ended == "time limit"
    rows = np.concatenate(ticks.kept)
    rows = rows[np.flatnonzero(rows[:, AT["contact"]])[0] :]
    time = float(rows[-1, AT["time_s"]] - rows[0, AT["time_s"]])
    return float(rows[:, AT["contact"]].sum()) / time, float(done.numbers[state.SHORT_TIME]) / time


def dry_rate(step: str, seed: int, crater: float = 1.0) -> float:
    """Sparks a second."""
    return dry_drilling(step, seed, crater, False)[0]


def shorted(step: str, seed: int) -> float:
    """Share of the time shorted, with the brisk gain."""
    return dry_drilling(step, seed, 1.0, True)[1]


@pytest.mark.source("computed", "prototype, dry 48 V: 870 to 1090 sparks a second at steps of 0.1 µm")
@pytest.mark.parametrize("seed", [1, 2])
def test_fine_steps_of_a_dry_axis_spark_at_each_filling(seed):
    assert 870.0 <= dry_rate("0.1 µm", seed, EVEN) <= 1090.0


@pytest.mark.source("computed", "prototype, dry 48 V, steps of 0.1 and 2.5 µm: three times the rate, ± 1")
@pytest.mark.parametrize("seed", [1, 2])
def test_coarse_steps_of_a_dry_axis_cost_most_of_its_sparks(seed):
    assert 2.0 <= dry_rate("0.1 µm", seed) / dry_rate("2.5 µm", seed) <= 4.0


@pytest.mark.source("computed", "prototype, dry 48 V: none shorted at 0.1 µm; 20 to 25 % at 0.5 to 5 µm")
@pytest.mark.parametrize("seed", [1, 2])
def test_coarse_steps_of_a_dry_axis_short_for_a_fifth_of_the_time(seed):
    assert shorted("0.1 µm", seed) < 0.005
    assert 0.20 <= shorted("0.5 µm", seed) <= 0.25
    assert 0.20 <= shorted("2.5 µm", seed) <= 0.25


@pytest.mark.source("computed", "prototype, dry 48 V: 870 to 1090 sparks a second at steps of 0.1 µm")
@pytest.mark.xfail(
    strict=True, reason="800, a tenth fewer; 1100 with ten times the gain, and the prototype's is not known"
)
def test_fine_steps_of_a_dry_axis_on_cratered_faces():
    assert 870.0 <= dry_rate("0.1 µm", 1) <= 1090.0
