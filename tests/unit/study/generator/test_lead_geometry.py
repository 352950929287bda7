"""Leads from their geometry: each form, and what is refused."""

import pytest

from gapwright.base.errors import GapwrightError, InputRefused
from gapwright.study.generator.lead_geometry import LeadGeometry, lead_figures, require_needed

WIRE = {"length": 0.3, "diameter": 1.38e-3, "spacing": 2.6e-3, "lay": 25e-3}


def figures(form, **changes):
    return lead_figures(LeadGeometry(form=form, **(WIRE | changes)))


def test_a_tight_pair_beats_a_loop_of_the_same_wire():
    apart = figures("pair", spacing=20e-3)
    close = figures("pair")
    twisted = figures("twisted")
    assert apart.inductance_h > 2.0 * close.inductance_h
    assert twisted.inductance_h > close.inductance_h
    loop = figures("loop")
    assert loop.inductance_h > close.inductance_h


def test_current_on_the_skin_sees_less_inductance_and_more_resistance():
    for form in ("straight", "pair", "twisted", "coax", "loop"):
        found = figures(form)
        assert found.inductance_h < found.inductance_slow_h
        assert found.resistance_ohm > 1.5 * found.resistance_slow_ohm
        assert found.halved_inductance_h < 0.55 * found.inductance_h


def test_a_direct_current_has_the_resistance_of_the_copper():
    found = figures("pair", frequency=0.0)
    # 0.6 m of 1.38 mm copper at 17.24 nΩ·m.
    assert found.resistance_ohm == pytest.approx(1.7241e-8 * 0.6 / (0.25 * 3.14159265 * 1.38e-3**2), rel=1e-3)


@pytest.mark.parametrize(
    ("form", "changes", "words"),
    [
        ("pairs", {}, "did you mean 'pair'"),
        ("pair", {"spacing": 0.0}, "pair leads must have --spacing, from axis to axis, got none"),
        ("twisted", {"lay": 0.0}, "the length of one turn, got none; give one, such as 25 mm"),
        ("twisted", {"spacing": -1e-3}, "--spacing must be above the --diameter of 1.38 mm, got -1 mm"),
        ("coax", {"spacing": 1e-3}, "--spacing must be above the --diameter of 1.38 mm, got 1 mm"),
        (
            "straight",
            {"length": 1e-3},
            "--length must be at least 10 times the --diameter of 1.38 mm, got 1 mm",
        ),
        ("pair", {"length": -1.0}, "--length must be above 0 m"),
    ],
)
def test_what_is_no_lead_is_refused(form, changes, words):
    with pytest.raises(GapwrightError) as refusal:
        figures(form, **changes)
    assert words in str(refusal.value)


def test_half_of_a_stout_wire_is_not_told():
    assert figures("straight", length=20e-3).halved_inductance_h is None
    assert figures("straight", length=40e-3).halved_inductance_h > 0.0


@pytest.mark.parametrize(("form", "size"), [("straight", "spacing"), ("loop", "lay"), ("pair", "lay")])
def test_a_size_that_a_form_has_not_is_refused(form, size):
    sizes = {"spacing": 3e-3 if form == "pair" else 0.0} | {size: 30e-3}
    with pytest.raises(InputRefused, match=f"{form} leads have no --{size}, got 30 mm; leave it out"):
        require_needed(LeadGeometry(form=form, length=0.3, diameter=1e-3, **sizes))
