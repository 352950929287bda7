"""Scenes of a generator: what happens in each, and what the exact engine says of it."""

from dataclasses import replace
from math import exp, sqrt

import numpy as np
import pytest

from gapwright.base.errors import GapwrightError, InputRefused
from gapwright.base.progress import Stopped
from gapwright.circuit.control.control import FixedOnTime
from gapwright.circuit.engine.engine import Start
from gapwright.circuit.stages.generators import COIL, GAP, STORE
from gapwright.study.generator.network import network
from gapwright.study.generator.scene_waves import scene_waves
from gapwright.study.generator.scenes import (
    STRIKES_AT,
    SceneName,
    burning_on,
    gap_of,
    least_current,
    mean_current,
    scenes,
    settled,
)
from tests.two_generators import step_up
from tests.unit.study.benches import FIRST, SECOND, demo


@pytest.fixture(scope="module")
def seen():
    return {name: scenes(*network(demo(name))) for name in (FIRST, SECOND)}


def test_a_resistor_fills_the_store_and_the_gap_strikes_below_the_top(seen):
    first = seen[FIRST]
    # 180.1 Ω and 0.68 µF reach 95 % after ln 20 time constants; the bleeder takes 0.05 %.
    assert first.fill_time == pytest.approx(180.1 * 0.68e-6 * 2.9957, rel=5e-3)
    assert first.strikes_at == pytest.approx(STRIKES_AT * first.peak_open, rel=1e-12)
    struck = first.spark.ran.sparks["breakdown_v"]
    assert np.allclose(struck, first.strikes_at, rtol=1e-6, atol=0.0)


def test_a_lasting_short_is_bounded_by_the_charging_resistor(seen):
    lasting = seen[FIRST].by_name[SceneName.SHORT].lasting
    loop = 0.0  # lead, contact and gap add some tens of milliohms to 180.1 Ω
    assert mean_current(lasting, GAP) == pytest.approx(70.0 / (180.1 + loop), rel=2e-3)


def test_a_lasting_short_of_a_step_up_is_the_supplys_limit_and_its_surge_is_more(seen):
    short = seen[SECOND].by_name[SceneName.SHORT]
    assert mean_current(short.lasting, GAP) == pytest.approx(2.0, rel=1e-3)
    # The supply's own capacitor rings out through the coil: at most V·sqrt(C/L).
    surge = short.ran.meters[COIL].highest_current
    assert 3.0 < surge < 24.0 * sqrt(47e-6 / 100e-6) + 2.0


def test_a_supply_feeds_an_arc_through_a_resistor(seen):
    lasting = seen[FIRST].by_name[SceneName.STANDING_ARC].lasting
    assert mean_current(lasting, GAP) == pytest.approx((70.0 - 25.0) / 180.2, rel=2e-3)
    assert least_current(seen[FIRST].by_name[SceneName.STANDING_ARC], GAP) == pytest.approx(
        mean_current(lasting, GAP), rel=1e-3
    )


def test_a_step_up_of_fixed_duty_latches_an_arc():
    # 12 V at a duty of 0.48 gives 23.1 V, above an arc of 20 V: the published condition of latching.
    netlist = step_up()
    clock = FixedOnTime(switch="switch", period=25e-6, on_time=12e-6)
    full = Start(values={STORE: 60.0})
    arc = settled(SceneName.STANDING_ARC, burning_on(netlist), clock, full, fill=13e-3)
    assert mean_current(arc.lasting, GAP) > 3.0
    assert least_current(arc, GAP) > 0.0


def test_peaks_are_taken_over_every_scene(seen):
    second = seen[SECOND]
    value, scene = second.highest(lambda ran: ran.meters[COIL].highest_current)
    each = {
        name: max(scene.ran.meters[COIL].highest_current, scene.lasting.meters[COIL].highest_current)
        for name, scene in second.by_name.items()
    }
    assert value == max(each.values())
    assert each[scene] == value


def test_waveforms_keep_the_peaks_of_the_meters(seen):
    for each in seen.values():
        scene = each.by_name[SceneName.SHORT]
        shown = scene_waves(scene, slices=50)
        for part in (GAP, STORE):
            wave = shown.wave(part, "amperes")
            assert wave.high.max() == pytest.approx(scene.ran.meters[part].highest_current, rel=1e-6)


def test_a_stretch_outside_the_scene_is_refused(seen):
    scene = seen[FIRST].spark
    with pytest.raises(GapwrightError, match="a stretch must lie between 0 s and"):
        scene_waves(scene, start=-1.0)
    with pytest.raises(GapwrightError, match="slices must be between 1 and"):
        scene_waves(scene, slices=0)


def test_a_listener_may_stop():
    with pytest.raises(Stopped):
        scenes(*network(demo(FIRST)), progress=lambda done, *_: done < 1)


def test_a_circuit_without_a_gap_is_told():
    netlist, _ = network(demo(FIRST))
    bare = burning_on(netlist)
    assert bare.gap is None
    assert burning_on(bare) is bare
    with pytest.raises(GapwrightError, match="must have a gap"):
        gap_of(bare)


def test_a_short_empties_the_store_at_the_pace_of_its_loop(seen):
    ran = seen[FIRST].by_name[SceneName.SHORT].ran
    peak = ran.meters[GAP].highest_current
    # An undamped loop would reach V·sqrt(C/L); the loop's resistance takes some of it.
    ideal = 70.0 * sqrt(0.68e-6 / 300e-9)
    assert ideal * exp(-0.5) < peak < ideal


def test_a_control_that_never_opens_its_switch_is_refused_with_the_reason() -> None:
    made = demo(SECOND)
    generator = made.rig.generator.model_copy(update={"peak_current": 90.0})
    made = replace(made, rig=made.rig.model_copy(update={"generator": generator}))
    with pytest.raises(InputRefused, match=r"must be charged above the 25 V .* its coil at .* peak_current"):
        scenes(*network(made))
