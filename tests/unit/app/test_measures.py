"""What a forecast says, in the order in which a person wants it."""

from gapwright.app.flow import flow_of
from gapwright.app.forecast import Answer
from gapwright.app.measures import (
    classes_text,
    endings_text,
    first_measures,
    flow_sentence,
    further_measures,
    ledger_lines,
    reading_text,
)
from tests.made_up import READINGS, forecast, pictures


def test_time_diameters_and_electrode_come_first():
    first = first_measures(Answer(forecast=forecast(), pictures=pictures()))
    assert [m.name for m in first] == ["time", "entry diameter", "exit diameter", "electrode used"]
    assert first[1].remark == "wanted 0.58 ± 0.04 mm"
    assert (first[3].middle, first[3].band) == ("0.72 mm", "0.41 to 1.23 mm")


def test_both_overcuts_are_shown():
    names = [m.name for m in further_measures(forecast())]
    assert {"overcut", "overcut in practice"} <= set(names)


def test_readings_speak_the_units_of_the_bench():
    conductivity = reading_text(READINGS["liquid_conductivity_siemens_per_m"])
    assert (conductivity.middle, conductivity.band) == ("5.0 µS/cm", "up to 20.0 µS/cm")


def test_every_line_of_the_ledger_is_there():
    account = forecast().ledger
    lines = ledger_lines(account, flow_of(account))
    assert len(lines) == len(account.accounts)
    assert {line.role for line in lines} == {"in", "out", "kept", "of which"}


def test_sentences():
    assert (
        endings_text(forecast()) == "How the members ended: through 92 %, starved 6.0 %, only shorts 2.0 %."
    )
    assert flow_sentence(forecast()).startswith("17.9 W come from the socket; what arrives: supply 17.9 W,")
    assert ("open", "0", "94 %") in classes_text(forecast())
