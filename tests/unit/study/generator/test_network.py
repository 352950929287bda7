"""Every kind of generator becomes a circuit that runs; what has no charge map is said in one line."""

from pathlib import Path

import pytest

from gapwright.base.errors import InputRefused
from gapwright.circuit.control.ignition import Threshold
from gapwright.circuit.engine.engine import run
from gapwright.rig.reading import rig_from_text
from gapwright.study.generator.generator_alone import generator_bench
from gapwright.study.generator.network import charge_map_of, network, switched_on
from gapwright.study.generator.network_losses import loss_data
from gapwright.wiring import demo_text

EXAMPLES = Path(__file__).resolve().parents[4] / "examples"
KINDS = ("flyback", "iso-pulse", "current-source", "own-circuit")


def second_build(option: str):
    """The demonstration's step-up with one more key or table."""
    text, coil = demo_text("second-build.rig.toml"), "[generator.coil]"
    assert coil in text
    return generator_bench(rig_from_text(text.replace(coil, f"{option}\n{coil}"), "second-build"))


def bench(name: str, old: str = "", new: str = ""):
    text = (EXAMPLES / f"{name}.rig.toml").read_text(encoding="utf-8")
    assert old in text
    return generator_bench(rig_from_text(text.replace(old, new, 1), name))


@pytest.mark.parametrize("name", KINDS)
def test_a_kind_sparks_and_keeps_its_energy(name: str) -> None:
    made = bench(name)
    netlist, control = network(made)
    ran = run(netlist, control, 3e-3, ignition=Threshold(volts=60.0), initial=switched_on(netlist))
    assert abs(ran.balance_error) <= ran.balance_limit
    assert len(ran.sparks) >= 3
    assert ran.joules("out", "discharge") > 0.0


COUNTS = (
    'closed = { closes = ["T1"], zeroes = "gap", rules = '
    '[{ watch = "charge", of = "gap", above = "40 uC", then = "open" }, '
)
GOVERNED = (EXAMPLES / "own-circuit.rig.toml").read_text(encoding="utf-8").partition("[generator.control]")[2]
GOVERNED = "[generator.control]" + GOVERNED.partition("\n[leads]")[0]
CLOCKED = '[generator.control]\nkind = "fixed on-time"\nswitch = "T1"\nperiod = "100 us"\non_time = "50 us"\n'


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        (GOVERNED, CLOCKED, "a fixed on-time has not"),
        ('closed = { closes = ["T1"], rules = [', COUNTS, "that counts in cut/closed, where a leak adds"),
        (
            'resistance = "180 ohm" }',
            'resistance = "180 ohm", stage = "store" }',
            "resistor of the stage supply",
        ),
    ],
)
def test_a_circuit_that_has_no_charge_map_says_why_and_what_to_do(old: str, new: str, said: str) -> None:
    with pytest.raises(
        InputRefused, match=f'got generator.kind = "netlist": .*{said}.*`gapwright circuit` runs it'
    ):
        charge_map_of(bench("own-circuit", old, new))


def test_pulses_are_not_told_by_their_store() -> None:
    made = bench("iso-pulse", 'senses = "mean-gap-voltage"', 'senses = "store-voltage"')
    with pytest.raises(InputRefused, match='controller.senses must tell of the gap.*got "store-voltage"'):
        charge_map_of(made)


def test_the_rules_of_an_own_circuit_cut_each_discharge_at_its_charge() -> None:
    netlist, control = network(bench("own-circuit", 'capacitance = "0.68 uF"', 'capacitance = "10 uF"'))
    ran = run(netlist, control, 60e-3, ignition=Threshold(volts=60.0))
    assert len(ran.sparks) >= 3
    assert (ran.sparks["charge_c"] >= 40e-6).all()


def test_losses_beside_the_circuit_come_from_the_rig_file() -> None:
    core = (
        '\n[generator.coil.core]\narea = "97 mm²"\nvolume = "6 cm³"\nturns = 14\n'
        'coefficient = "2e-3 W/m³"\nfrequency_exponent = 1.4\nflux_exponent = 2.5\n'
    )
    made = bench("flyback", 'saturation_current = "6 A"\n', 'saturation_current = "6 A"\n' + core)
    netlist, control = network(made)
    data = loss_data(made.rig.generator)
    ran = run(netlist, control, 1e-3, initial=switched_on(netlist), losses=data)
    found = {(loss.part, loss.what): loss.joules for loss in ran.edges}
    assert found["switch", "switching"] > 0.0
    assert found["coil", "core"] > 0.0
    assert found["switch", "gate"] == 0.0


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('between = ["cut", "loop"]', 'between = ["cut", "lop"]', "node 'lop' must join two parts"),
        ('R1 = { part = "resistor"', 'store = { part = "resistor"', "parts.store must not be called so"),
        ('esr = "5 mohm"', 'esr = "0 ohm"\n', ""),
        ('closes = ["T1"], zeroes', 'closes = ["T2"], zeroes', "a switch 'T2' that is not there"),
        (', damper = "1 kohm"', "", r"L1 \(between nodes 'loop' and 'e'\) must have a damper"),
        ('then = "passing"', 'then = "passed"', "must lead to another, got 'passed'; did you mean 'passing'"),
    ],
)
def test_what_is_wrong_with_an_own_circuit_is_named(old: str, new: str, said: str) -> None:
    made = bench("own-circuit", old, new)
    if not said:
        assert run(*network(made), 1e-4).duration == 1e-4
        return
    with pytest.raises(InputRefused, match=said):
        run(*network(made), 1e-4)


def test_a_map_is_kept_whoever_listens() -> None:
    heard: list[int] = []

    def listener(done: int, total: int, what: str) -> bool:
        heard.append(done)
        return True

    text = demo_text("first-build.rig.toml").replace("0.68 uF", "0.61 uF")
    made = generator_bench(rig_from_text(text, "first-build"))
    first = charge_map_of(made, progress=listener)
    count = len(heard)
    assert count > 2
    assert charge_map_of(made, progress=listener) is first
    assert charge_map_of(made) is first
    assert len(heard) == count
