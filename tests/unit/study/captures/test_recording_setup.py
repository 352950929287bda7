"""Where a clip may go follows from what is earthed; what a recorder must do follows from the pulses."""

import pytest

from gapwright.rig.reading import rig_from_text
from gapwright.study.captures.earth_clip import BEHIND_A_SWITCH, Shorted, Side, earth_clip, shorted
from gapwright.study.captures.recording_setup import inductive_reading, recording_setup, two_digits_up
from gapwright.wiring import demo_text
from tests.house.code import ROOT

EXAMPLES = ROOT / "examples"
TEXT = demo_text("first-build.rig.toml")


def rig(*, positive: bool = True, earthed: bool = False):
    text = TEXT if positive else TEXT.replace('"workpiece positive"', '"workpiece negative"')
    return rig_from_text(text.replace('"isolated"', '"earthed"') if earthed else text)


def places(**made):
    return {each.place: each for each in earth_clip(rig(**made), open_voltage=70.0).places}


def test_the_clip_belongs_on_the_workpiece_of_an_isolated_rig() -> None:
    for positive in (True, False):
        clip = earth_clip(rig(positive=positive), open_voltage=70.0)
        assert clip.best == "workpiece, beside the gap"
        assert not clip.needs_insulated_workpiece
        assert clip.shorted_without_clip == ()
        assert clip.clip_side is (Side.PLUS if positive else Side.MINUS)


def test_the_other_side_of_the_store_is_shorted_through_the_frame() -> None:
    assert places()["electrode, at its brush or clamp"].shorts_on_frame == (Shorted.STORE,)
    assert places()["store, negative terminal"].shorts_on_frame == (Shorted.STORE,)
    assert places()["supply, positive terminal"].shorts_on_frame == (Shorted.CHARGER,)
    assert places(positive=False)["store, positive terminal"].shorts_on_frame == (Shorted.STORE,)
    assert places(positive=False)["supply, positive terminal"].shorts_on_frame == (Shorted.SUPPLY,)


def test_nothing_is_shorted_by_one_clip_on_a_rig_that_floats() -> None:
    assert all(each.shorts_insulated == () for each in places().values())


def test_an_earthed_supply_and_an_earthed_positive_workpiece_short_by_themselves() -> None:
    clip = earth_clip(rig(earthed=True), open_voltage=70.0)
    assert clip.shorted_without_clip == (Shorted.STORE,)
    assert clip.needs_insulated_workpiece
    assert clip.best == "electrode, at its brush or clamp"
    assert clip.advice.startswith("Insulate the workpiece from the frame first")


def test_an_earthed_supply_leaves_a_negative_workpiece_alone() -> None:
    clip = earth_clip(rig(earthed=True, positive=False), open_voltage=70.0)
    assert (clip.best, clip.needs_insulated_workpiece) == ("workpiece, beside the gap", False)


def test_three_sides_in_earth_short_everything() -> None:
    assert set(shorted(set(Side))) == {Shorted.STORE, Shorted.SUPPLY, Shorted.CHARGER}
    assert set(shorted(set(Side), BEHIND_A_SWITCH)) == {Shorted.GAP, Shorted.STORE, Shorted.LIMITER}
    assert shorted({Side.PLUS}) == ()


def test_a_shunt_reads_its_inductance_beside_its_resistance() -> None:
    # 10 mΩ with 10 nH at 200 A/µs and 82 A.
    resistive, inductive = inductive_reading(10e-3, inductance=10e-9, current=82.0, rise=200e6)
    assert resistive == pytest.approx(0.82, rel=0.01)
    assert inductive == pytest.approx(2.0, rel=0.01)


@pytest.mark.parametrize(("value", "rounded"), [(35.1e6, 36e6), (40e6, 40e6), (1.01, 1.1), (0.0231, 0.024)])
def test_what_is_asked_is_rounded_up(value, rounded) -> None:
    assert two_digits_up(value) == pytest.approx(rounded, rel=1e-9)


def test_what_the_pulses_ask_for() -> None:
    found = recording_setup(rig())
    sampling = found.sampling
    assert sampling.good_rate_hz * sampling.pulse_s >= 50
    assert sampling.good_rate_hz * sampling.rise_s >= 20
    assert sampling.least_rate_hz < sampling.good_rate_hz
    assert 2.0**sampling.bits * 0.02 * found.burning_voltage_v >= 2.0 * sampling.voltage_range_v
    assert found.open_voltage_v / found.probe_ratio < 20.0
    assert sampling.record_s * found.sparks_hz == pytest.approx(1000, rel=1e-6)
    assert found.shunt.filter_s == pytest.approx(
        found.shunt.inductance_h / found.shunt.resistance_ohm, rel=1e-9
    )
    assert found.one_channel.capacitance_f == 0.68e-6
    assert "--voltage-inverted" in found.reading_options
    assert "--current-inverted" in recording_setup(rig(positive=False)).reading_options
    assert found.shared_lead_v == pytest.approx(10e-9 * (70.0 - 25.0) / 300e-9, rel=0.01)


@pytest.mark.parametrize("kind", ["iso-pulse", "current-source"])
def test_a_generator_of_pulses_is_told_by_its_pulses(kind) -> None:
    made = rig_from_text((EXAMPLES / f"{kind}.rig.toml").read_text(encoding="utf-8"))
    found = recording_setup(made)
    assert found.sampling.pulse_s == pytest.approx(50e-6)
    assert found.sparks_hz == pytest.approx(10e3)
    assert found.sampling.good_rate_hz == pytest.approx(10e6)
    assert found.sampling.least_rate_hz == pytest.approx(5e6)
    assert 6.0 < found.sampling.current_range_a < 15.0
    assert found.one_channel.capacitance_f is None
    assert "no store empties into the gap" in found.one_channel.advice
    assert found.shunt.resistance_ohm == pytest.approx(50e-3)
    assert found.open_voltage_v == pytest.approx(made.open_voltage, rel=1e-3)
    sides = {each.place: each.shorts_on_frame for each in found.earth.places}
    assert sides["electrode, at its brush or clamp"] == (Shorted.GAP,)
    assert sides["store, positive terminal"] == (Shorted.LIMITER,)
    store, supply = made.generator.capacitor.capacitance, made.supply.voltage
    assert found.earth.wrong_energy_j == pytest.approx(0.5 * store * supply**2)
    assert "shorts it through the clip and earth" in found.earth.advice
