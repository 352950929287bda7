"""Tables as rows: nothing without unit, source and status; nothing that the files hold is left out."""

import subprocess
import sys
import tomllib
from importlib.resources import files

import pytest

from gapwright.base.errors import FactMissing
from gapwright.base.source import Status
from gapwright.facts.sources import source, sources
from gapwright.facts.tables import rows, tables

KNOWN = {work.key: work for work in sources()}
TEXTS = {"practice", "energy", "published", "sources"}
SHOWN_ELSEWHERE = {"heat_capacity": "coefficients behind the computed heats of melting"}
DATA = {
    "metals": "materials",
    "alloys": "materials",
    "nonconductors": "materials",
    "es1": "class-1-capacitors",
}
SAME = {
    "liquids",
    "priors",
    "wear",
    "limits",
    "series",
    "hardness",
    "energy",
    "practice",
    "published",
    "sources",
}
OTHER = {"conductors": "metric-wire", "vdi3400": "vdi-3400", "iso286": "iso-286"}


@pytest.mark.parametrize("table", tables())
def test_every_row_has_a_source_and_a_status(table):
    assert rows(table)
    for row in rows(table):
        assert row.source in KNOWN, row
        assert isinstance(row.status, Status)
        assert row.name
        assert row.property
        assert row.value is not None or row.low is not None or row.high is not None
        assert table in TEXTS or isinstance(row.value, float)


@pytest.mark.parametrize("table", tables())
def test_a_published_number_cites_a_work_that_was_read(table):
    breaches = [
        row
        for row in rows(table)
        if row.status is Status.PUBLISHED and KNOWN[row.source].status is not Status.PUBLISHED
    ]
    assert not breaches


@pytest.mark.parametrize("table", [name for name in tables() if name != "sources"])
def test_a_number_is_not_surer_than_common_practice_allows(table):
    for row in rows(table):
        if row.source == "common-practice":
            assert row.status is Status.COMMON_PRACTICE, row
        if row.source == "from-memory":
            assert row.status is Status.FROM_MEMORY, row


@pytest.mark.parametrize("table", tables())
def test_ends_of_a_range_enclose_the_value(table):
    for row in rows(table):
        ends = [end for end in (row.low, row.value, row.high) if isinstance(end, float | int)]
        assert ends == sorted(ends), row


def test_names_of_a_table_do_not_repeat():
    for table in ("materials", "liquids", "priors", "limits", "wear", "energy", "practice", "published"):
        seen = [(row.name, row.property) for row in rows(table)]
        assert len(seen) == len(set(seen))


def test_no_source_is_a_web_address():
    for work in sources():
        assert "http" not in work.title
        assert "www." not in work.title
        assert ".com" not in work.title


def test_every_data_file_is_shown_by_a_table():
    folder = files("gapwright.facts").joinpath("data")
    names = {entry.name.removesuffix(".toml") for entry in folder.iterdir() if entry.name.endswith(".toml")}
    shown = {*DATA, *SAME, *OTHER, *SHOWN_ELSEWHERE}
    assert names == shown
    assert {*DATA.values(), *SAME, *OTHER.values()} <= set(tables())


@pytest.mark.parametrize("name", ["practice", "energy", "published", "limits", "priors"])
def test_every_record_of_a_file_is_a_row(name):
    text = files("gapwright.facts").joinpath("data", f"{name}.toml").read_text(encoding="utf-8")
    assert [row.name for row in rows(name)] == list(tomllib.loads(text))


def test_an_unknown_table_or_source_is_refused():
    with pytest.raises(FactMissing, match="got 'material'; did you mean 'materials'"):
        rows("material")
    with pytest.raises(FactMissing, match="the source must be one of .*did you mean 'iec-60063'"):
        source("iec-60036")


def test_temperatures_stand_in_celsius_beside_and_differences_do_not():
    kelvins = {
        (table, row.name, row.property): row for table in tables() for row in rows(table) if row.unit == "K"
    }
    assert kelvins["materials", "iron", "melting_point"].beside == "1538 °C"
    assert kelvins["materials", "zinc", "melting_point"].beside == "419.5 °C"
    assert kelvins["liquids", "kerosene", "flash_point"].beside == "38 °C (38 to 72 °C)"
    without = [name for (_, name, _), row in kelvins.items() if not row.beside]
    assert without == ["flash-margin"]
    others = [row for table in tables() for row in rows(table) if row.unit != "K"]
    assert not any(row.beside for row in others)


def test_facts_load_no_number_library():
    code = (
        "import sys, gapwright.facts.tables; "
        "print(sorted({'numpy', 'scipy', 'numba', 'polars'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
