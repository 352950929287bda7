"""Charge maps of the generators under governors, beside the full engine, on the rigs that are shipped."""

from functools import cache
from pathlib import Path

import pytest

from gapwright.circuit.map.charge_map import FACTS
from gapwright.rig.reading import rig_from_text
from gapwright.study.generator.generator_alone import generator_bench
from gapwright.study.generator.network import charge_map_of, network, switched_on
from gapwright.wiring import demo_text
from tests.map_walks import RATE, SPARKS, Generator, Walk, deviations, side_by_side, walk

EXAMPLES = Path(__file__).resolve().parents[4] / "examples"
TRAIN = '[generator.train]\nrun = "5 ms"\nrest = "1 ms"\n'
SWITCH = """[generator.series_switch.switch]
on_resistance = "9 mohm"
voltage_rating = "150 V"
current_rating = "20 A"
"""
DETECTOR = '[generator.series_switch.detector]\nthreshold = "12 V"\ndelay = "200 us"\nhold_off = "2 ms"\n'
OPTIONS = {
    "series switch": SWITCH + DETECTOR,
    "set charge": '[generator.series_switch]\nlargest_charge = "20 uC"\nrest = "50 us"\n' + SWITCH,
    "blanking": 'blanking = "50 us"\n',
    "at zero current": 'turn_on = "at zero current"\n',
}
DRY, DAMP, WET = 0.0, 2e-4, 1.3e-3
CHARGERS = {
    ("own-circuit", DRY): 1e-3,
    ("own-circuit", DAMP): 3e-3,
    ("own-circuit", WET): 1e-3,
    ("flyback", DRY): 5e-3,
    ("flyback", DAMP): 5e-3,
    ("flyback", WET): 5e-3,
    ("series switch", DRY): 1e-3,
    ("series switch", DAMP): 2e-3,
    ("series switch", WET): 6e-3,
    ("set charge", DRY): 8e-3,
    ("set charge", DAMP): 1e-2,
    ("blanking", DRY): 4e-3,
    ("blanking", DAMP): 1e-2,
    ("at zero current", DRY): 8e-3,
    ("at zero current", DAMP): 8e-3,
    ("at zero current", WET): 8e-3,
}
"""Largest deviation of an account that is felt; where one thing hangs on the clock (a blanking, the rest
after a cut) what ignites the gap meanwhile does so a little later in a map."""


def text_of(name: str) -> str:
    """Text of a rig by its name, or of the demonstration's step-up with an option."""
    if name in OPTIONS:
        return demo_text("second-build.rig.toml").replace(
            "[generator.coil]", OPTIONS[name] + "\n[generator.coil]"
        )
    text = (EXAMPLES / f"{name}.rig.toml").read_text(encoding="utf-8")
    return text.replace(TRAIN, "")


@cache
def generator(name: str) -> Generator:
    """A generator with its map; pulses without their trains, which are no matter of the map.

    A source that strikes at 160 V is made to wait as long as the others, lest its delays
    be shorter than what the clocks of map and engine come apart.
    """
    made = generator_bench(rig_from_text(text_of(name), name))
    netlist, control = network(made)
    return Generator(
        netlist=netlist,
        control=control,
        map=charge_map_of(made),
        start=switched_on(netlist),
        rate=RATE * (0.01 if name == "current-source" else 1.0),
    )


@cache
def walked(name: str, leak: float) -> Walk:
    """A walk through a generator's map."""
    return walk(generator(name), leak)


@pytest.mark.parametrize(("name", "leak"), CHARGERS)
def test_a_charger_is_mapped_as_the_engine_runs_it(name: str, leak: float) -> None:
    found, ran = side_by_side(generator(name), leak)
    apart = deviations(found, ran)
    assert len(apart) >= 8
    assert max(abs(value) for value in apart.values()) <= CHARGERS[name, leak], apart
    for column, fact in enumerate(FACTS[:5]):
        assert found.facts[:, column].mean() == pytest.approx(ran.sparks[fact].mean(), rel=4e-3), fact


@pytest.mark.parametrize(("name", "leak"), CHARGERS)
def test_its_discharges_come_as_often(name: str, leak: float) -> None:
    found = walked(name, leak)
    assert abs(len(generator(name).ran(leak, found.duration).sparks) - SPARKS) <= 1


ALL = [*CHARGERS, *((name, leak) for name in ("iso-pulse", "current-source") for leak in (DRY, DAMP))]


@pytest.mark.parametrize(("name", "leak"), ALL)
def test_what_is_stored_closes_the_account(name: str, leak: float) -> None:
    assert abs(walked(name, leak).closure) <= 1e-9


BUS = {"source resistance", "capacitor series resistance"}
"""What flows back and forth between the supply's own capacitor and the store across it."""


@pytest.mark.parametrize("leak", [DRY, DAMP])
def test_pulses_are_mapped_as_the_engine_runs_them(leak: float) -> None:
    found = walked("iso-pulse", leak)
    ran = generator("iso-pulse").struck(found, leak)
    assert len(ran.sparks) == SPARKS
    apart = deviations(found, ran)
    assert max(abs(value) for name, value in apart.items() if name not in {*BUS, "leakage"}) <= 1e-3, apart
    assert max(abs(apart[name]) for name in BUS) <= 0.1, apart
    for column, fact in enumerate(FACTS[:5]):
        assert found.facts[:, column].mean() == pytest.approx(ran.sparks[fact].mean(), rel=2e-3), fact


@pytest.mark.parametrize("leak", [DRY, DAMP])
def test_a_kept_current_is_mapped_within_its_band(leak: float) -> None:
    found = walked("current-source", leak)
    ran = generator("current-source").struck(found, leak)
    assert abs(len(ran.sparks) - SPARKS) <= 1
    apart = deviations(found, ran)
    band = 0.5 * 1.0 / 6.0
    assert max(abs(value) for name, value in apart.items() if name not in BUS) <= band, apart
    for column, fact in enumerate(FACTS[:5]):
        assert found.facts[:, column].mean() == pytest.approx(ran.sparks[fact].mean(), rel=0.02), fact
