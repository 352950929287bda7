"""Cautions about the bench: each rule raised, and not raised."""

from dataclasses import replace

import pytest

from gapwright.facts.materials import materials
from gapwright.study.cautions.cautions_bench import HARMFUL, MAY_HOLD_BERYLLIUM
from gapwright.study.grounds.outcome import Degree
from tests.unit.study.benches import DRY, FIRST, altered, demo, oily, raised

ALONE, SLUDGE, BERYLLIUM = "is to run alone", "Sludge and used liquid", "beryllium"
LEAKS, RUN_OUT, CRATER = "Spindle to frame", "of run-out", "too wide for"


def left_alone(made):
    return replace(made, rig=altered(made.rig, "setup.surroundings.attended", False))


def test_a_rig_left_alone():
    assert raised(left_alone(oily()), ALONE).degree is Degree.DANGER
    assert raised(left_alone(demo(FIRST)), ALONE).degree is Degree.CARE
    assert raised(left_alone(demo(DRY)), ALONE).degree is Degree.CARE
    assert raised(demo(FIRST), ALONE) is None


@pytest.mark.parametrize(("metal", "named"), HARMFUL.items())
def test_sludge_of_a_harmful_workpiece(metal, named):
    found = raised(demo(FIRST, job={"workpiece.material": metal}), SLUDGE)
    assert f"will hold {named}," in found.text
    assert found.degree is Degree.CARE


def test_sludge_of_a_harmful_electrode_and_of_both():
    electrode = {"setup.electrode.material": "tungsten-carbide-cobalt"}
    assert "will hold cobalt," in raised(demo(FIRST, electrode), SLUDGE).text
    both = demo(FIRST, electrode, {"workpiece.material": "nickel-718"})
    assert "will hold cobalt and nickel," in raised(both, SLUDGE).text
    assert raised(demo(FIRST), SLUDGE) is None


def test_copper_to_be_drilled_may_hold_beryllium():
    assert raised(demo(FIRST, job={"workpiece.material": "copper"}), BERYLLIUM).degree is Degree.NOTE
    assert raised(demo(DRY), BERYLLIUM) is None


def test_the_named_materials_exist():
    assert set(HARMFUL) | MAY_HOLD_BERYLLIUM <= set(materials())
    assert {key for key in materials() if "cobalt" in key or "nickel" in key} <= set(HARMFUL)


@pytest.mark.parametrize(("ohms", "told"), [(0.0, True), (0.99e6, True), (1e6, False)])
def test_a_spindle_is_insulated_by_a_megohm(ohms, told):
    found = raised(demo(FIRST, {"setup.spindle.insulation": ohms}), LEAKS)
    assert (found is not None) is told
    if found:
        assert found.degree is Degree.CARE
        assert found.limit.startswith("at least 1 MΩ")


@pytest.mark.parametrize(("metres", "told"), [(30e-6, False), (31e-6, True), (100e-6, True)])
def test_run_out_widens_the_hole(metres, told):
    found = raised(demo(FIRST, {"setup.spindle.run_out": metres}), RUN_OUT)
    assert (found is not None) is told


def test_the_swept_diameter_is_told():
    found = raised(demo(FIRST, {"setup.spindle.run_out": 50e-6}), RUN_OUT)
    assert "With 50 µm of run-out the electrode sweeps 550 µm" in found.text


@pytest.mark.parametrize(("energy", "told"), [(1.51e-3, False), (1.53e-3, True), (0.0, False)])
def test_a_spark_fits_half_the_wall_of_a_tube(energy, told):
    found = raised(demo(FIRST), CRATER, spark_energy_j=energy)
    assert (found is not None) is told
    if found:
        assert "the tube's wall of 150 µm" in found.text
        assert found.degree is Degree.NOTE


@pytest.mark.parametrize(("energy", "told"), [(14.0e-3, False), (14.3e-3, True)])
def test_a_spark_fits_a_fifth_of_a_rod(energy, told):
    found = raised(demo(DRY), CRATER, spark_energy_j=energy)
    assert (found is not None) is told
    if found:
        assert "the rod's diameter of 800 µm" in found.text
