"""What follows from a rig or job by plain arithmetic."""

import pytest
from pydantic import ValidationError

from gapwright.rig.components import Capacitor, series_resistance
from gapwright.rig.faults import first_fault
from gapwright.rig.generator import open_voltage, short_circuit_current
from gapwright.rig.job import wanted_depth
from gapwright.rig.leads import Leads, wire_resistance
from gapwright.rig.reading import job_from_text, rig_from_text
from gapwright.rig.record import FileRecord
from gapwright.rig.rig import loop_resistance
from gapwright.rig.setup import bore_diameter, flushing_pressure, is_dry
from tests.printed import printed
from tests.unit.rig.samples import DRY, FIRST, JOB, SECOND, changed, sample


def film(**given: float) -> Capacitor:
    return Capacitor(
        capacitance=1e-6, type="film", voltage_rating=250.0, reverse_rating=250.0, ripple_rating=4.0, **given
    )


def test_a_stated_series_resistance_is_taken_as_it_stands() -> None:
    assert series_resistance(film(esr=0.007)) == 0.007


def test_series_resistance_follows_from_the_loss_factor() -> None:
    # 0.0015 / (2 pi 100 kHz 1 uF)
    assert series_resistance(film(tan_delta=0.0015, tan_delta_frequency=100e3)) == printed("0.002387")


def test_without_a_stated_loss_that_of_the_type_is_taken() -> None:
    assert series_resistance(film()) == series_resistance(film(tan_delta=0.0015, tan_delta_frequency=100e3))


def test_open_voltage_of_a_relaxation_rig_is_the_supplys() -> None:
    assert rig_from_text(sample(DRY)).open_voltage == 48.0


def test_a_bleeder_divides_the_open_voltage() -> None:
    rig = rig_from_text(changed(FIRST, '"330 kohm"', '"180.1 ohm"'))
    assert open_voltage(rig.generator, rig.supply) == pytest.approx(35.0, rel=1e-12)


def test_open_voltage_of_a_step_up_rig_is_its_limit() -> None:
    assert rig_from_text(sample(SECOND)).open_voltage == 70.0


def test_a_resistor_limits_the_current_into_a_short() -> None:
    rig = rig_from_text(sample(FIRST))
    assert short_circuit_current(rig.generator, rig.supply) == printed("0.3887")  # 70 V / 180.1 ohm


def test_a_step_up_rig_feeds_a_short_up_to_the_supplys_limit() -> None:
    rig = rig_from_text(sample(SECOND))
    assert short_circuit_current(rig.generator, rig.supply) == 2.0
    soft = rig_from_text(changed(SECOND, '"0.1 ohm"', '"50 ohm"'))
    assert short_circuit_current(soft.generator, soft.supply) == printed("0.46488")  # 23.3 V / 50.12 ohm


def test_wire_resistance_from_area_or_gauge() -> None:
    assert wire_resistance(Leads(inductance=1e-6, length=1.0, wire_area=0.5e-6)) == printed("0.03448")
    assert wire_resistance(Leads(inductance=1e-6, length=1.0, wire_gauge=24)) == printed("0.08421")
    assert wire_resistance(Leads(inductance=1e-6, resistance=0.04)) == 0.04


def test_the_discharge_loop_sums_store_wires_and_contact() -> None:
    rig = rig_from_text(sample(FIRST))
    # 3.511 mohm + 3.448 mohm + 20 mohm
    assert loop_resistance(rig) == printed("0.02696")


def test_set_up_values() -> None:
    first, dry = rig_from_text(sample(FIRST)), rig_from_text(sample(DRY))
    assert bore_diameter(first.setup.electrode) == 0.2e-3
    assert bore_diameter(dry.setup.electrode) == 0.0
    assert flushing_pressure(first.setup.flushing) == 0.5e6
    assert flushing_pressure(dry.setup.flushing) == 0.0
    assert is_dry(dry.setup.liquid)
    assert not is_dry(first.setup.liquid)


def test_wanted_depth() -> None:
    assert wanted_depth(job_from_text(sample(JOB))) == 1.5e-3
    blind = job_from_text(changed(JOB, "through = true", 'through = false\ndepth = "1 mm"'))
    assert wanted_depth(blind) == 1e-3


def test_a_fault_of_a_kind_without_words_of_its_own_is_still_one_line() -> None:
    class Odd(FileRecord):
        pair: tuple[int, int]

    with pytest.raises(ValidationError) as refused:
        Odd.model_validate({"pair": "x"})
    assert first_fault(Odd, refused.value) == "pair cannot be used: Input should be a valid tuple"
