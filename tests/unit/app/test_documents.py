"""JSON documents and their schemas."""

import json

import jsonschema  # type: ignore[import-untyped]
import pytest

from gapwright.app.demo import compared
from gapwright.app.documents import as_json, file_schema, schema_names
from gapwright.app.facts import browse_facts
from gapwright.app.forecast import Answer, Effort, ledger_of
from gapwright.app.installation import Check, check_installation
from gapwright.app.ports import one_after_another
from gapwright.base.errors import FactMissing, InputRefused
from gapwright.base.progress import silent
from tests.made_up import forecast, pictures

ANSWER = Answer(forecast=forecast(), pictures=pictures())

RESULTS = {
    "forecast": ANSWER.forecast,
    "ledger": ledger_of(ANSWER),
    "demo": compared([ANSWER]),
    "facts": browse_facts("limits"),
    "check-install": check_installation(
        [Check(name="a", well=True, needed=True, found="1", to_do="")], version="0"
    ),
}


@pytest.mark.parametrize("name", sorted(RESULTS))
def test_a_result_is_what_its_schema_says(name):
    document = json.loads(as_json(RESULTS[name]))
    schema = file_schema(name)
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.Draft202012Validator(schema).validate(document)
    assert document["schema"] == 1
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate({key: value for key, value in document.items() if key != "schema"}, schema)


def test_the_forecast_carries_what_was_promised():
    document = json.loads(as_json(ANSWER.forecast))
    assert document["time_s"] == {"median": 96.0, "low": 61.0, "high": 158.0}
    assert document["ledger"]["accounts"][0]["role"] == "in"
    assert document["cautions"][0]["degree"] == "danger"
    assert {"removal_rate_m3_per_s", "specific_energy_j_per_m3", "expected_readings", "outside_range"} <= set(
        document
    )


def test_what_never_finishes_is_null():
    document = json.loads(as_json(forecast(gets_through=False)))
    assert document["time_s"]["median"] is None
    assert document["time_s"]["high"] is None


@pytest.mark.parametrize("name", ["rig", "job"])
def test_files_have_schemas(name):
    jsonschema.Draft202012Validator.check_schema(file_schema(name))


def test_an_unknown_schema_is_refused_with_the_close_one():
    with pytest.raises(InputRefused, match="did you mean 'rig'"):
        file_schema("rigg")
    assert "demo" in schema_names()


def test_browsing_lists_then_opens_then_refuses():
    assert {"materials", "limits"} <= {table.table for table in browse_facts().tables}
    rows = browse_facts("materials", "copper").rows
    assert {row.name for row in rows} == {"copper"}
    assert all(row.source for row in rows)
    with pytest.raises(FactMissing, match="did you mean 'copper'"):
        browse_facts("materials", "coper")
    with pytest.raises(FactMissing):
        browse_facts("nothing")


@pytest.mark.parametrize(("seed", "members"), [(-1, 8), (0, 0), (0, 10**6), (2**70, 8)])
def test_counts_that_mean_nothing_are_refused(seed, members):
    with pytest.raises(InputRefused, match="--(seed|members) must be between"):
        Effort(seed=seed, members=members, spread=one_after_another, progress=silent)


def test_something_needed_that_is_missing_makes_an_installation_incomplete():
    checks = [
        Check(name="needed", well=True, needed=True, found="1", to_do=""),
        Check(name="extra", well=False, needed=False, found="missing", to_do="install it"),
    ]
    assert check_installation(checks, version="0").complete
    worse = Check(name="other", well=False, needed=True, found="missing", to_do="install it")
    assert not check_installation([*checks, worse], version="0").complete


def test_one_after_another_keeps_the_order():
    assert one_after_another(abs, [-3, 2, -1]) == [3, 2, 1]
