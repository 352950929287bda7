"""Generators sized for a wish: what is proposed gives it, what cannot be had is refused or told."""

import pytest

from gapwright.base.errors import InputRefused
from gapwright.rig.reading import job_from_text, rig_from_text
from gapwright.study.generator.generator_alone import generator_bench
from gapwright.study.grounds.assemble import bench
from gapwright.study.sizing.sizing import sizing
from gapwright.study.sizing.sizing_base import sizing_base
from gapwright.study.sizing.sizing_check import TOLERANCES, checked, member_tasks, spread_of, toleranced
from gapwright.study.sizing.sizing_parts import LoopSpec, coil_design, sense_divider, store_for, timer_number
from gapwright.study.sizing.sizing_wish import Core, Microcontroller, Wish, largest_spark
from tests.unit.rig.samples import FIRST, JOB, SECOND, changed, sample
from tests.unit.study import benches

MEMBERS = 8


def in_turn(function, items):
    return [function(item) for item in items]


def sized(name, wish, *, supply=(None, None)):
    base = sizing_base(sample(name), origin=name, supply=supply, volts=wish.voltage_v)
    return sizing(wish, base, origin=name, members=MEMBERS, seed=0, work=in_turn)


@pytest.fixture(scope="module")
def stepped():
    return sized(SECOND, Wish(energy_j=0.8e-3, rate_hz=5e3, kinds=("step-up",)))


@pytest.fixture(scope="module")
def charged():
    return sized(FIRST, Wish(energy_j=0.8e-3, rate_hz=5e3, kinds=("relaxation", "step-up")))


def test_the_first_gives_what_was_wanted(stepped, charged):
    for found in (stepped, charged):
        first = found.candidates[0]
        assert first.meets
        assert first.misses == ()
        assert first.energy_j.median == pytest.approx(0.8e-3, rel=0.25)
        assert 5e3 <= first.rate_hz.median <= 8e3
        assert first.sparking_share == 1.0
        assert [each.rank for each in found.candidates] == list(range(1, len(found.candidates) + 1))
        assert [each.meets for each in found.candidates] == sorted(
            (each.meets for each in found.candidates), reverse=True
        )


def test_a_coil_brings_more_of_it_to_the_arc_than_a_resistor(stepped, charged):
    assert stepped.candidates[0].arc_share.median > 0.85
    # A resistor passes at most the burning voltage over the supply's.
    assert charged.candidates[0].arc_share.median == pytest.approx(25.0 / 70.0, rel=0.1)


def test_parts_bear_their_worst_scene_and_a_short_is_told(stepped):
    first = stepped.candidates[0]
    assert 0.3 < first.largest_stress <= 1.0
    assert any(each.scene == "short" for each in first.findings)
    names = [line.part for line in first.parts]
    assert names[:4] == ["coil", "switch", "diode", "shunt"]
    assert {"store", "bleeder", "sense divider"} <= set(names)
    assert first.coil_peak_a.high < rig_from_text(first.rig_file).generator.coil.saturation_current


def test_a_rig_file_is_read_again_and_takes_a_job(stepped):
    rig = rig_from_text(stepped.candidates[0].rig_file, "sized")
    assert rig.generator.kind == "step-up"
    assert rig.generator.voltage_limit == 70.0
    assert bench(rig, job_from_text(sample(JOB))).rig is rig
    assert "# what the axis truly does" in stepped.candidates[0].rig_file


def test_a_kind_that_cannot_says_why(charged, stepped):
    assert "not well above the supply's 70 V" in charged.unsuitable["step-up"]
    assert stepped.unsuitable == {}
    low = sized(SECOND, Wish(energy_j=0.8e-3, rate_hz=5e3, voltage_v=90.0, kinds=("relaxation",)))
    assert low.candidates == ()
    assert "set the supply to that, or step up" in low.unsuitable["relaxation"]
    weak = sized(SECOND, Wish(energy_j=1e-3, rate_hz=9e3, kinds=("step-up",)), supply=(12.0, 0.8))
    assert "it would draw" in weak.unsuitable["step-up"]


def test_a_wanted_peak_makes_the_loop_longer():
    found = sized(FIRST, Wish(energy_j=0.8e-3, rate_hz=5e3, peak_a=25.0, kinds=("relaxation",)))
    first = found.candidates[0]
    assert first.peak_current_a.high <= 25.0
    assert rig_from_text(first.rig_file).leads.inductance > 2.0 * 300e-9


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"energy_j": 2e-3}, "--energy must be at most 1.53 mJ for this electrode"),
        ({"rate_hz": 1e6}, "--energy times --rate must be below what the supply gives"),
        ({"energy_j": 0.0}, "--energy must be above 0 J"),
        ({"rate_hz": float("nan")}, "--rate must be a finite number"),
        ({"kinds": ("stepup",)}, "did you mean 'step-up'"),
    ],
)
def test_what_cannot_be_wanted_is_refused(changes, words):
    with pytest.raises(InputRefused) as refusal:
        sized(SECOND, Wish(**({"energy_j": 0.8e-3, "rate_hz": 5e3} | changes)))
    assert words in str(refusal.value)
    assert "\n" not in str(refusal.value)


@pytest.mark.parametrize(
    ("name", "kind", "words"),
    [
        (SECOND, "step-up", "coil.inductance must be at most 1 H"),
        (SECOND, "flyback", "coil.inductance must be at most 1 H"),
        (FIRST, "relaxation", "resistor.resistance must be at most 10 MΩ"),
    ],
)
def test_a_wish_that_no_part_fulfils_is_told_for_its_kind(name, kind, words):
    found = sized(name, Wish(energy_j=1e-9, rate_hz=4e3, kinds=(kind,)))
    assert found.candidates == ()
    assert words in found.unsuitable[kind]
    assert "no such part can be had" in found.unsuitable[kind]


@pytest.mark.parametrize("volts", [10.0, 4000.0])
def test_a_voltage_that_cannot_spark_is_refused_as_what_was_asked(volts):
    with pytest.raises(InputRefused, match="--voltage must be one that can spark, got "):
        sized(SECOND, Wish(energy_j=0.8e-3, rate_hz=5e3, voltage_v=volts))


def test_the_electrode_bounds_the_spark():
    tube, why = largest_spark(generator_bench(benches.demo(benches.FIRST).rig))
    assert tube == pytest.approx(1.5e-3, rel=0.03)
    assert "half the tube's wall" in why
    text = changed(FIRST, 'form = "tube"', 'form = "rod"').replace('bore = "0.20 mm"\n', "")
    text = text.replace('kind = "through-tube"', 'kind = "side-jet"')
    rod, why = largest_spark(generator_bench(rig_from_text(text)))
    assert rod == pytest.approx(3.6e-3, rel=0.03)
    assert "a fifth of the rod's" in why


def test_members_lie_within_the_tolerances_and_the_first_is_the_rig_itself():
    rig = benches.demo(benches.SECOND).rig
    made = toleranced(rig, members=32, seed=1)
    assert made[0] == rig
    farads = [each.generator.capacitor.capacitance / rig.generator.capacitor.capacitance for each in made]
    assert 0.95 <= min(farads) < 0.97
    assert 1.03 < max(farads) <= 1.05
    assert toleranced(rig, members=32, seed=1) == made
    assert set(spread_of(rig)) == set(TOLERANCES) - {"generator.resistor.resistance"}


def test_members_do_not_depend_on_how_they_are_batched():
    texts = [sample(FIRST)]
    whole = [checked(task) for _, task in member_tasks(texts, members=6, seed=3, rate=5e3, batch=6)]
    parts = [checked(task) for _, task in member_tasks(texts, members=6, seed=3, rate=5e3, batch=4)]
    assert whole[0] == parts[0] + parts[1]


def test_stores_are_the_preferred_values_around_the_energy():
    spec = LoopSpec(strikes=59.5, burning=25.0, inductance=300e-9, ohms=0.1)
    low, high = store_for(0.8e-3, spec)
    assert (low, high) == (0.47e-6, 0.68e-6)
    assert spec.gap_energy(low) < 0.8e-3 < spec.gap_energy(high)


def test_a_coil_keeps_its_core_below_the_flux_asked_for():
    core = Core(flux_t=0.2)
    coil = coil_design(100e-6, peak=8.0, rms=2.0, core=core)
    assert coil.flux_t <= 0.2
    assert coil.turns == 42
    # 2 A at 4 A/mm² need 0.8 mm.
    assert coil.wire_diameter_m >= 0.79e-3


def test_numbers_for_a_controller_are_never_shorter_than_asked():
    small = Microcontroller(clock_hz=8e6, counter_bits=8, prescalers=(1, 8, 64))
    number = timer_number("off", 100e-6, small)
    assert (number.prescaler, number.counts) == (8, 100)
    assert number.lasts_s == pytest.approx(100e-6, rel=1e-12)
    assert timer_number("long", 1.0, small) is None
    short = timer_number("off", 5.05e-6, small)
    assert short.counts == 41
    assert short.lasts_s >= 5.05e-6


def test_a_divider_fits_the_converter():
    divider = sense_divider(70.0, Microcontroller(reference_v=3.3, converter_bits=12))
    assert divider.low_v < divider.input_v < divider.high_v < 3.3
    assert divider.code < 4096
    assert divider.step_v == pytest.approx(70.0 / divider.input_v * 3.3 / 4096, rel=1e-9)


def test_a_controller_that_cannot_be_is_refused():
    with pytest.raises(InputRefused, match="--prescalers must be whole numbers from 1 up"):
        Microcontroller(prescalers=(0,))
    with pytest.raises(InputRefused, match="--counter-bits must be between 4 and 64"):
        Microcontroller(counter_bits=1)


def test_a_flyback_bears_a_short_for_which_a_step_up_needs_a_fuse():
    found = sized(SECOND, Wish(energy_j=0.8e-3, rate_hz=4e3, kinds=("flyback",)))
    first = found.candidates[0]
    assert first.meets
    assert first.energy_j.median == pytest.approx(0.8e-3, rel=0.25)
    assert first.rate_hz.median >= 4e3
    assert first.largest_stress < 1.0
    assert not [each for each in first.findings if each.part == "coil"]
    rig = rig_from_text(first.rig_file, "sized")
    assert rig.generator.kind == "flyback"
    assert rig.generator.turns_ratio == 2.0
