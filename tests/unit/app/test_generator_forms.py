"""The forms of a sizing and of a sweep: what is wrong stands beside the field at fault."""

import pytest

from gapwright.app.ports import in_turn
from gapwright.app.size_form import FIELDS, wish_faults, wish_from
from gapwright.app.sweep import SweepWish, sweep
from gapwright.app.sweep_form import AxisForm, axis_faults, sweep_drawing
from gapwright.base.errors import InputRefused
from gapwright.base.progress import silent
from gapwright.wiring import demo_text

RIG = demo_text("first-build.rig.toml")
GOOD = {"energy": "1 mJ", "rate": "2 kHz"}


def faults(texts, kinds=()):
    return {each.field: each.says for each in wish_faults(texts, kinds, like="mine", rig=RIG)}


def test_a_filled_in_form_is_a_wish_in_si_units():
    more = {"peak": "60 A", "supply": "48 V", "prescalers": "1, 8", "core-flux": "200 mT", "members": "12"}
    found = wish_from(GOOD | more, ("relaxation",), like="mine", rig=RIG)
    assert (found.wish.energy_j, found.wish.rate_hz, found.wish.peak_a) == (1e-3, 2e3, 60.0)
    assert found.wish.controller.prescalers == (1, 8)
    assert found.wish.core.flux_t == pytest.approx(0.2)
    assert (found.supply_v, found.supply_a, found.members) == (48.0, None, 12)


def test_what_is_left_out_is_as_usual():
    found = wish_from(GOOD, (), like="mine", rig=RIG)
    assert found.wish.voltage_v is None
    assert found.wish.controller.clock_hz == 16e6
    assert set(found.wish.kinds) == {"relaxation", "step-up", "flyback"}


@pytest.mark.parametrize(
    ("field", "text"),
    [
        ("energy", ""),
        ("energy", "5 V"),
        ("rate", "-2 kHz"),
        ("peak", "0 A"),
        ("supply", "48"),
        ("clock", "fast"),
        ("counter-bits", "99"),
        ("counter-bits", "many"),
        ("prescalers", "1;8"),
        ("core-flux", "0.3"),
        ("members", "0"),
        ("members", "9999"),
        ("seed", "-1"),
    ],
)
def test_each_fault_names_its_field(field, text):
    found = faults(GOOD | {field: text})
    assert list(found) == [field]
    assert found[field].startswith(f"--{field} ")
    with pytest.raises(InputRefused):
        wish_from(GOOD | {field: text}, (), like="mine", rig=RIG)


def test_every_fault_is_told_at_once():
    assert set(faults({"energy": "x", "clock": "0 Hz", "seed": "y"})) == {"energy", "rate", "clock", "seed"}


def test_an_unknown_kind_is_a_fault_of_the_kinds():
    assert list(faults(GOOD, ("fancy",))) == ["kind"]


def test_every_field_has_words_for_somebody_new():
    for field in FIELDS:
        assert field.label, field.name
        assert field.help.endswith("."), field.name
        assert not field.usual or not faults(GOOD | {field.name: field.usual}), field.name


def axis(**changes):
    own = {"key": "leads.inductance", "first": "50 nH", "last": "2 uH", "scale": "log", "points": 5}
    return AxisForm(**(own | changes))


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"first": "50"}, "last"),
        ({"first": "fifty"}, "first"),
        ({"last": ""}, "last"),
        ({"first": "5 uH"}, "last"),
        ({"last": "2 V"}, "last"),
        ({"first": "50 V", "last": "60 V"}, "first"),
        ({"first": "0 H"}, "scale"),
        ({"first": "0 H", "scale": "lin"}, "first"),
        ({"last": "5 kH"}, "last"),
        ({"points": 1}, "points"),
        ({"points": 3000}, "points"),
        ({"key": "leads.inductanc"}, "key"),
        ({"key": "job.hole.diameter", "first": "1 mm", "last": "2 mm"}, "key"),
    ],
)
def test_a_fault_of_a_sweep_stands_beside_its_field(changes, field):
    found = axis_faults(axis(**changes), rig=RIG, job="")
    assert [each.field for each in found] == [field]
    assert "\n" not in found[0].says


def test_a_sound_sweep_has_no_fault():
    assert axis_faults(axis(), rig=RIG, job="") == ()


class Nowhere:
    """Keeps nothing."""

    def load(self, names):
        """Nothing is known."""
        return dict.fromkeys(names[:0])

    def keep(self, name, answer):
        """Nothing is kept."""
        del name, answer


def test_a_sweep_is_drawn_with_a_value_for_each_point():
    wish = SweepWish(rig="rig", axes=(axis(points=3).text,))
    found = sweep(wish, read={"rig": RIG}.get, crew=in_turn, store=Nowhere(), progress=silent)
    drawn = sweep_drawing(found)
    assert drawn.along == found.axes[0].values
    peak = next(curve for curve in drawn.curves if curve.name == "spark_peak_current_a")
    assert (peak.title, peak.unit, peak.low) == ("spark peak current", "A", None)
    first, second, third = (value or 0.0 for value in peak.values)
    assert first > second > third > 0.0  # more inductance, lower peak
    assert drawn.says == "leads.inductance from 0.05 to 2 µH, 3 of 3 points answered"
