"""A generator as its page shows it."""

import pytest

from gapwright.app.circuit import circuit_of
from gapwright.app.generator_marks import SHOWS, marks
from gapwright.app.generator_tables import findings_table, parts_table
from gapwright.app.generator_view import generator_view, scene_of
from gapwright.base.errors import InputRefused
from gapwright.wiring import demo_text
from tests.house.code import ROOT


@pytest.fixture(scope="module")
def view():
    return generator_view(circuit_of("second-build.rig.toml", read=demo_text))


def test_it_says_in_one_sentence_what_the_generator_does(view):
    assert view.says.startswith("Fills its store to ")
    assert view.says.count(".") >= 1
    assert "kHz" in view.says


def test_the_heat_of_the_parts_is_what_the_ledger_loses(view):
    spark = scene_of(view, "spark")
    ledger = view.told.ledger
    lost = (
        sum(
            line.energy_j
            for line in ledger.accounts
            if line.role.value == "out" and line.account != "discharge"
        )
        / ledger.duration_s
    )
    heat = sum(part.heat_w for part in spark.parts if part.heat_w is not None and part.part != "gap")
    assert heat == pytest.approx(lost, rel=0.05)


def test_coils_and_sources_pass_their_power_on(view):
    heat = {part.part: part.heat_w for part in scene_of(view, "spark").parts}
    assert heat["coil"] is None
    assert heat["lead"] is None
    assert (heat["diode"] or 0.0) > 0.1


def test_stress_is_found_over_limit_where_more_is_worse(view):
    found = {each.part: each for each in scene_of(view, "short").parts}
    worst = max(
        each.found / each.limit
        for each in view.told.findings
        if each.part == "switch" and each.limit and (each.found > each.limit) != each.within
    )
    assert found["switch"].stress == pytest.approx(worst, rel=1e-3)
    damping = next(each for each in view.told.findings if each.quantity.startswith("damping"))
    assert not damping.within  # it must be at least so much, which is no share of a limit
    assert (found["lead"].stress or 0.0) < 1.0


@pytest.mark.parametrize("shows", SHOWS)
@pytest.mark.parametrize("scene", ["start-up", "spark", "short", "standing-arc"])
def test_marks_are_texts_beside_parts_and_shades_by_them(view, scene, shows):
    own = marks(view, scene=scene, shows=shows)
    assert own.values
    assert set(own.shades) <= set(own.values)
    assert all(shade >= 0.0 for shade in own.shades.values())
    assert "gap" not in own.shades or shows == "stress"


def test_the_hottest_part_has_the_full_shade(view):
    own = marks(view, scene="spark", shows="watts")
    assert max(own.shades.values()) == 1.0
    assert own.values["diode"].endswith("W")


def test_unknown_scenes_and_marks_are_refused(view):
    with pytest.raises(InputRefused, match="must be one of"):
        scene_of(view, "sparks")
    with pytest.raises(InputRefused, match="shows one of watts, stress, peaks"):
        marks(view, scene="spark", shows="colours")


def test_tables_have_a_row_for_each_part_and_finding(view):
    parts = parts_table(view, "spark")
    assert len(set(map(len, parts.values()))) == 1
    assert "diode" in parts["part"]
    told = findings_table(view)
    assert len(told["remedy"]) == len(view.told.findings)
    assert all(told["remedy"])


def test_a_gap_that_is_never_reached_is_told_with_what_it_lacks():
    text = (ROOT / "examples" / "own-circuit.rig.toml").read_text(encoding="utf-8")
    cut = text.replace('closed = { closes = ["T1"],', "closed = { closes = [],", 1)
    assert cut != text
    seen = generator_view(circuit_of("cut", read=lambda _: cut))
    assert seen.told.pulse is None
    assert "the gap never strikes: it comes to 35.0 V of the 59.5 V it would strike at" in seen.says
