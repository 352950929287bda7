import numpy as np
import pytest

from gapwright.base.errors import InputRefused
from gapwright.circuit.control.control import FixedOnTime, NoControl, PeakCurrent
from gapwright.circuit.control.ignition import Chance, Forced, Never, Threshold
from gapwright.circuit.engine import arrays, engine
from gapwright.circuit.engine.engine import Start, Window, run
from gapwright.circuit.engine.run import Run
from gapwright.circuit.network.elements import Capacitor, Inductor
from gapwright.circuit.network.mna import GapState
from gapwright.circuit.network.netlist import Netlist
from tests.two_generators import CLOCK, STRIKES, relaxation, step_up

CHARGER = step_up(off=1e7, coil_damper=1e5, lead_damper=1e3)
RESISTOR = relaxation(off=1e7, lead_damper=1e3)
FULL = Start(values={"store": 59.9, "coil": 3.0})


def coil_into_store() -> Netlist:
    """A coil that empties into a store: its falling current and the rising voltage cross over."""
    parts = {part.name: part for part in RESISTOR.elements}
    store = parts["store"]
    assert isinstance(store, Capacitor)
    return Netlist(
        elements=(
            Inductor(
                name="coil",
                start="0",
                end="out",
                henries=47e-6,
                damper_ohms=1e6,
                stage="supply",
                account="damping",
            ),
            Capacitor(
                name="store",
                start="out",
                end="0",
                farads=100e-6,
                series_ohms=0.02,
                stage="store",
                account="heat",
            ),
            parts["lead"],
            parts["gap"],
        ),
        store="store",
    )


def same(one: Run, other: Run) -> None:
    """The same course; sums may differ by the rounding of where they were gathered."""
    assert [a.account for a in one.accounts] == [a.account for a in other.accounts]
    assert [a.joules for a in one.accounts] == pytest.approx([a.joules for a in other.accounts], rel=1e-11)
    assert one.final == other.final
    assert one.steps == other.steps
    assert np.array_equal(one.sparks, other.sparks)


def test_a_peak_between_two_events_is_not_missed() -> None:
    """Both ends of the stretch lie below the threshold; only its inside does not."""
    start = Start(values={"store": 59.93, "coil": 3.0})
    quiet = run(coil_into_store(), NoControl(), 1e-6, initial=start, record=Window())
    wave = quiet.waveform("volts", "store", start=0.0, stop=1e-6, slices=100)
    ends = max(wave.low[0], wave.high[-1])
    peak = quiet.meters["store"].highest_voltage
    assert quiet.steps == 1
    assert 0.1e-3 < peak - ends < 2e-3
    threshold = 0.5 * (peak + ends)
    found = run(
        coil_into_store(), NoControl(), 1e-6, initial=start, ignition=Threshold(volts=threshold, node="out")
    )
    assert len(found.sparks) == 1
    assert 0.0 < found.sparks["time_s"][0] < wave.times[np.argmax(wave.high)]
    above = Threshold(volts=peak + 1e-6, node="out")
    assert len(run(coil_into_store(), NoControl(), 1e-6, initial=start, ignition=above).sparks) == 0


def test_an_edge_that_lifts_the_node_over_the_threshold_ignites_at_once() -> None:
    """The coil's current through the store's resistance: no crossing, only a jump."""
    ran = run(CHARGER, CLOCK, 20e-6, initial=FULL, ignition=STRIKES)
    assert ran.sparks["time_s"][0] == CLOCK.on_time
    assert ran.sparks["breakdown_v"][0] > STRIKES.volts + 0.01


def test_a_forced_ignition_on_an_edge_of_the_clock_loses_neither() -> None:
    times = np.array([CLOCK.on_time, CLOCK.on_time, CLOCK.period])
    ran = run(CHARGER, CLOCK, 100e-6, initial=FULL, ignition=Forced(times=times))
    assert list(ran.sparks["time_s"][:1]) == [CLOCK.on_time]
    assert ran.sparks["duration_s"][0] > CLOCK.period - CLOCK.on_time
    assert len(ran.sparks) == 1
    assert ran.meters["switch"].charge > 0.0


def test_a_run_that_pauses_often_gives_the_same_result(monkeypatch: pytest.MonkeyPatch) -> None:
    whole = run(CHARGER, CLOCK, 14e-3, ignition=STRIKES, record=Window(start=0.0, stop=1e-3))
    monkeypatch.setattr(arrays, "STEPS_AT_ONCE", 7)
    monkeypatch.setattr(engine, "SPARK_ROOM", 1)
    monkeypatch.setattr(engine, "KNOT_ROOM", 3)
    paused = run(CHARGER, CLOCK, 14e-3, ignition=STRIKES, record=Window(start=0.0, stop=1e-3))
    same(whole, paused)
    waves = [r.waveform("amperes", "coil", start=0.0, stop=1e-3, slices=50) for r in (whole, paused)]
    assert np.array_equal(waves[0].high, waves[1].high)


def test_a_recorded_run_gives_the_same_result() -> None:
    same(
        run(RESISTOR, NoControl(), 2e-3, ignition=STRIKES),
        run(RESISTOR, NoControl(), 2e-3, ignition=STRIKES, record=Window()),
    )


def test_a_run_goes_on_from_where_another_ended() -> None:
    whole = run(RESISTOR, NoControl(), 4e-3, ignition=STRIKES)
    first = run(RESISTOR, NoControl(), 1.5e-3, ignition=STRIKES)
    then = run(RESISTOR, NoControl(), 2.5e-3, ignition=STRIKES, initial=Start(values=first.final))
    assert len(first.sparks) + len(then.sparks) == len(whole.sparks) > 8
    assert first.stored_after == pytest.approx(then.stored_before, rel=1e-12)
    assert first.joules("in") + then.joules("in") == pytest.approx(whole.joules("in"), rel=1e-9)
    assert first.joules("out") + then.joules("out") == pytest.approx(whole.joules("out"), rel=1e-9)


def test_a_run_ends_early_when_asked(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(arrays, "STEPS_AT_ONCE", 100)
    heard = []

    def stop(done: int, total: int, what: str) -> bool:
        heard.append((done, total, what))
        return False

    ran = run(CHARGER, CLOCK, 14e-3, progress=stop)
    assert heard == [(heard[0][0], 1000, "circuit")]
    assert 0.0 < ran.duration < 2e-3
    assert abs(ran.balance_error) <= ran.balance_limit


def test_a_coarse_waveform_loses_no_discharge() -> None:
    ran = run(RESISTOR, NoControl(), 2e-3, ignition=STRIKES, record=Window())
    for slices in (10, 30, 100):
        wave = ran.waveform("amperes", "gap", start=0.0, stop=2e-3, slices=slices)
        shown = wave.high[(ran.sparks["time_s"] / 2e-3 * slices).astype(int)]
        assert shown == pytest.approx(ran.sparks["peak_a"], rel=0.01)


def test_a_waveform_holds_the_jumps_at_events() -> None:
    ran = run(RESISTOR, NoControl(), 2e-3, ignition=STRIKES, record=Window())
    for slices in (7, 100, 1000):
        wave = ran.waveform("volts", "store", start=0.0, stop=2e-3, slices=slices)
        assert wave.high.max() == pytest.approx(60.0, rel=1e-6)  # the lead starts slowly
        assert wave.high.max() == pytest.approx(ran.meters["store"].highest_voltage, rel=1e-9)
        assert wave.low.min() == pytest.approx(ran.meters["store"].lowest_voltage, rel=1e-9)
        assert (wave.low <= wave.high).all()


def test_a_fine_waveform_holds_the_peak_of_a_discharge() -> None:
    ran = run(RESISTOR, NoControl(), 320e-6, ignition=STRIKES, record=Window())
    spark = ran.sparks[0]
    span = {"start": float(spark["time_s"]), "stop": float(spark["time_s"] + spark["duration_s"])}
    wave = ran.waveform("amperes", "gap", **span, slices=200)
    assert wave.high.max() == pytest.approx(float(spark["peak_a"]), rel=1e-5)


def test_chance_takes_its_draws_in_order() -> None:
    law = {"rate": 1e4, "reference": 40.0, "exponent": 3.0, "zero_below": 20.0}
    draws = np.full(200, 0.5)
    ran = run(RESISTOR, NoControl(), 2e-3, ignition=Chance(**law, draws=draws))
    again = run(RESISTOR, NoControl(), 2e-3, ignition=Chance(**law, draws=draws))
    assert np.array_equal(ran.sparks, again.sparks)
    assert len(ran.sparks) > 5
    with pytest.raises(InputRefused, match="enough draws for the whole run, got too few"):
        run(RESISTOR, NoControl(), 2e-3, ignition=Chance(**law, draws=draws[:3]))


def test_a_shorted_gap_books_its_own_account() -> None:
    start = Start(values={"store": 40.0}, gap=GapState.SHORT)
    ran = run(RESISTOR, NoControl(), 1e-3, initial=start)
    assert ran.joules("out", "short circuit") > 0.0
    assert ran.joules("out", "discharge") == 0.0
    assert len(ran.sparks) == 0


@pytest.mark.parametrize(
    ("given", "message"),
    [
        ({"duration": 0.0}, "duration"),
        ({"ignition": Threshold(volts=60.0, node="outt")}, r"watches a node 'outt' that is not there.*out"),
        ({"initial": Start(values={"stores": 1.0})}, r"'stores' stores nothing to start from.*store"),
        ({"initial": Start(values={"store": float("nan")})}, "initial value of store"),
        (
            {"control": FixedOnTime(switch="swich", period=1e-5, on_time=1e-6)},
            r"works a switch 'swich' that is not there.*switch",
        ),
    ],
)
def test_a_run_that_cannot_be_is_refused(given: dict, message: str) -> None:
    asked = {"control": CLOCK, "duration": 1e-3, "ignition": Never(), **given}
    with pytest.raises(InputRefused, match=message):
        run(CHARGER, asked.pop("control"), asked.pop("duration"), **asked)


def test_a_current_limit_needs_a_coil_to_watch() -> None:
    blind = Netlist(elements=CHARGER.elements, store="store")
    limit = PeakCurrent(switch="switch", limit=1.0, minimum_off_time=1e-6, voltage_limit=50.0)
    with pytest.raises(InputRefused, match="must have a coil and a store to watch, got none; name them"):
        run(blind, limit, 1e-3)


def test_a_waveform_is_asked_of_a_part_and_a_time_that_are_there() -> None:
    ran = run(RESISTOR, NoControl(), 1e-3, record=Window(start=0.5e-3, stop=1e-3))
    with pytest.raises(InputRefused, match=r"no part 'gapp'.*gap"):
        ran.waveform("volts", "gapp", start=0.6e-3, stop=1e-3)
    bare = run(RESISTOR, NoControl(), 1e-3)
    with pytest.raises(InputRefused, match="must lie in the recorded stretch"):
        bare.waveform("volts", "gap", start=0.0, stop=1e-3)
