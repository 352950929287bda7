"""Random small circuits beside the same circuits by their node voltages and a general integrator."""

import numpy as np
import pytest
from hypothesis import HealthCheck, Phase, example, given, settings
from hypothesis import strategies as st

from gapwright.circuit.control.control import NoControl
from gapwright.circuit.control.ignition import Threshold
from gapwright.circuit.engine.engine import run
from gapwright.circuit.network.elements import (
    Capacitor,
    Diode,
    Element,
    Gap,
    Inductor,
    Resistor,
    VoltageSource,
)
from gapwright.circuit.network.netlist import Netlist
from tests.circuit_by_nodes import ByNodes

HEAT = {"stage": "supply", "account": "heat"}
CLOSE = 1e-6
MOST_EVENTS = 60


def between(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(np.log(low), np.log(high)).map(lambda x: float(np.exp(x)))


STAGES = st.lists(
    st.fixed_dictionaries(
        {
            "ohms": between(1.0, 100.0),
            "henries": st.one_of(st.none(), between(20e-6, 500e-6)),
            "damper": between(1e3, 1e5),
            "diode": st.booleans(),
            "farads": between(0.3e-6, 5e-6),
            "series": between(5e-3, 0.3),
            "shunt": st.one_of(st.none(), between(200.0, 1e4)),
        }
    ),
    min_size=1,
    max_size=3,
)
GAPS = st.one_of(
    st.none(),
    st.fixed_dictionaries(
        {
            "henries": between(0.3e-6, 3e-6),
            "damper": between(200.0, 2e3),
            "arc": st.floats(12.0, 25.0),
            "arc_ohms": between(0.05, 0.5),
            "hold": st.floats(0.2, 1.0),
            "at": st.floats(0.4, 0.9),
        }
    ),
)


def circuit(volts: float, stages: list[dict], gap: dict | None) -> Netlist:
    """A ladder of stages, each a resistor, perhaps a coil, perhaps a diode, into a capacitor."""
    parts: list[Element] = [VoltageSource(name="v", start="n0", end="0", volts=volts, **HEAT)]
    node = "n0"
    for k, s in enumerate(stages):
        chain = [("r", s["ohms"])]
        chain += [("l", s["henries"])] if s["henries"] else []
        chain += [("d", 0.7)] if s["diode"] else []
        for j, (kind, value) in enumerate(chain):
            after = f"n{k + 1}" if j == len(chain) - 1 else f"m{k}{j}"
            ends = {"name": f"{kind}{k}", "start": node, "end": after, **HEAT}
            if kind == "r":
                parts.append(Resistor(ohms=value, **ends))
            elif kind == "l":
                parts.append(Inductor(henries=value, damper_ohms=s["damper"], **ends))
            else:
                parts.append(Diode(drop_volts=value, on_ohms=0.05, off_ohms=1e6, **ends))
            node = after
        ends = {"start": node, "end": "0", **HEAT}
        parts.append(Capacitor(name=f"c{k}", farads=s["farads"], series_ohms=s["series"], **ends))
        if s["shunt"]:
            parts.append(Resistor(name=f"s{k}", ohms=s["shunt"], **ends))
    if gap:
        lead = {"name": "lead", "start": node, "end": "e", **HEAT}
        parts.append(Inductor(henries=gap["henries"], damper_ohms=gap["damper"], **lead))
        parts.append(
            Gap(
                name="gap",
                start="e",
                end="0",
                leak_siemens=1e-6,
                arc_volts=gap["arc"],
                arc_ohms=gap["arc_ohms"],
                hold_amperes=gap["hold"],
                recovery_seconds=2e-6,
                short_ohms=0.02,
                stage="spark",
                account="discharge",
            )
        )
    return Netlist(elements=tuple(parts))


SEEN = {"circuits": 0, "with events": 0, "grazing": 0}
GRAZE = 1e-6
"""Share by which a striking voltage is moved to see whether a course only grazes it."""


def grazes(netlist: Netlist, strikes: float, span: float) -> bool:
    """Whether a course touches the striking voltage so lightly that no two ways of reckoning need agree."""
    moved = (strikes * (1.0 + way * GRAZE) for way in (-1.0, 0.0, 1.0))
    counts = {len(run(netlist, NoControl(), span, ignition=Threshold(volts=at)).sparks) for at in moved}
    return len(counts) > 1


TWO_SWINGS = {
    "volts": 43.971872823878954,
    "stages": [
        {
            "damper": 999.9999999999998,
            "diode": False,
            "farads": 3.0000000000000015e-07,
            "henries": 1.9999999999999998e-05,
            "ohms": 22.489722465093923,
            "series": 0.005000000000000002,
            "shunt": None,
        },
        {
            "damper": 26692.724420941,
            "diode": True,
            "farads": 1.8199558319503294e-06,
            "henries": 1.9999999999999998e-05,
            "ohms": 22.489722465093923,
            "series": 0.22313016014842982,
            "shunt": 732.9699020260138,
        },
        {
            "damper": 8103.083927575384,
            "diode": False,
            "farads": 8.99050501064959e-07,
            "henries": 0.00018074843054737789,
            "ohms": 1.0000610370189331,
            "series": 0.20117270533431855,
            "shunt": 221.40641620418717,
        },
    ],
    "gap": {
        "arc": 20.743159354696225,
        "arc_ohms": 0.22313016014842982,
        "at": 0.7092196839158866,
        "damper": 270.42640742615254,
        "henries": 1.0668151981413628e-06,
        "hold": 0.9880196424968197,
    },
}
"""A slow oscillation that peaks after a fast one of the same step has died away."""


@pytest.mark.slow
@settings(
    max_examples=70,
    phases=(Phase.explicit, Phase.generate),
    suppress_health_check=list(HealthCheck),
    derandomize=True,
)
@example(**TWO_SWINGS)
@given(volts=st.floats(40.0, 100.0), stages=STAGES, gap=GAPS)
def test_a_random_circuit_goes_the_same_way(volts: float, stages: list[dict], gap: dict | None) -> None:
    netlist = circuit(volts, stages, gap)
    strikes = gap["arc"] + gap["at"] * (volts - gap["arc"]) if gap else 1e9
    span = 0.8 * sum((s["ohms"] + 20.0) * s["farads"] for s in stages)
    ran = run(netlist, NoControl(), span, ignition=Threshold(volts=strikes))
    if ran.steps > MOST_EVENTS:
        span *= MOST_EVENTS / ran.steps
        ran = run(netlist, NoControl(), span, ignition=Threshold(volts=strikes))
    if gap and grazes(netlist, strikes, span):
        SEEN["grazing"] += 1
        return
    hand = ByNodes(netlist=netlist, strikes_at=strikes)
    y = hand.carried(span, longest=span / 20.0)
    assert len(ran.sparks) == len(hand.sparks)
    assert ran.sparks["time_s"] == pytest.approx(np.array(hand.sparks), rel=CLOSE)
    held = 0.5 * sum(c.farads * v * v for c, v in zip(hand.capacitors, y, strict=False))
    held += 0.5 * sum(c.henries * i * i for c, i in zip(hand.coils, y[len(hand.capacitors) :], strict=False))
    assert ran.joules("in") == pytest.approx(y[-1], rel=CLOSE)
    assert ran.stored_after == pytest.approx(held, rel=CLOSE)
    for part in hand.stores:
        meter = ran.meters[part.name]
        peak = meter.highest_voltage if isinstance(part, Capacitor) else meter.highest_current
        assert peak == pytest.approx(hand.peaks[part.name], rel=CLOSE)
    for name, value in zip([p.name for p in hand.stores], y, strict=False):
        assert abs(ran.final[name] - value) <= CLOSE * max(hand.peaks[name], 1e-9)
    SEEN["circuits"] += 1
    SEEN["with events"] += hand.flips + len(hand.sparks) > 0


def test_enough_circuits_were_seen() -> None:
    assert SEEN["circuits"] >= 60
    assert SEEN["with events"] >= 30
    assert SEEN["grazing"] <= SEEN["circuits"] // 10


def test_a_course_that_only_grazes_is_seen() -> None:
    """A store fills towards 60 V without end; what it has reached by the last moment is grazed there."""
    resistor = Resistor(name="charger", start="in", end="out", ohms=100.0, **HEAT)
    netlist = Netlist(
        elements=(
            VoltageSource(name="supply", start="in", end="0", volts=60.0, stage="supply", account="drawn"),
            resistor,
            Capacitor(
                name="store",
                start="out",
                end="0",
                farads=1e-6,
                series_ohms=0.01,
                stage="store",
                account="heat",
            ),
            Gap(
                name="gap",
                start="out",
                end="0",
                leak_siemens=0.0,
                arc_volts=20.0,
                arc_ohms=0.1,
                hold_amperes=0.3,
                short_ohms=1e-3,
                stage="spark",
                account="discharge",
            ),
        ),
        store="store",
    )
    span = 300e-6
    reached = run(netlist, NoControl(), span).meters["store"].highest_voltage
    assert grazes(netlist, reached, span)
    assert not grazes(netlist, 0.999 * reached, span)
