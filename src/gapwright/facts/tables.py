"""Every table of this package as plain rows, for whoever wants to browse them."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache

from gapwright.base.source import Fact, Status
from gapwright.facts import conductors, finish, fits, hardness, limits, liquids, materials, priors, series
from gapwright.facts._reading import Record, data, missing
from gapwright.facts.sources import sources


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One entry of a table: a number, a range or a text, with unit, source and status."""

    name: str
    property: str
    value: float | str | None
    unit: str
    source: str
    status: Status
    low: float | None = None
    high: float | None = None
    at: str = ""
    note: str = ""
    beside: str = ""
    """A temperature as a thermometer shows it; empty for anything else."""


ZERO_CELSIUS = 273.15
DIFFERENCES = frozenset({"flash-margin"})
"""Entries in kelvin that are differences, which no thermometer shows."""


def degrees(kelvins: float | None) -> str:
    """A temperature in degrees Celsius, with no more digits than it has in kelvin.

    Examples
    --------
    >>> degrees(1811.15), degrees(692.677), degrees(1620.0)
    ('1538', '419.5', '1347')
    """
    if kelvins is None:
        return ""
    digits = 0 if float(kelvins).is_integer() else 1
    return f"{kelvins - ZERO_CELSIUS:.{digits}f}".removesuffix(".0")


def in_celsius(row: Row) -> Row:
    """Row of a temperature with the same in degrees Celsius beside it; any other as it is."""
    if row.unit != "K" or row.name in DIFFERENCES or isinstance(row.value, str):
        return row
    known = row.low is not None or row.high is not None
    span = f"{degrees(row.low) or '...'} to {degrees(row.high) or '...'} °C" if known else ""
    middle = f"{degrees(row.value)} °C" if row.value is not None else ""
    return replace(row, beside=f"{middle} ({span})" if middle and span else middle or span)


def _fact_row(name: str, what: str, fact: Fact) -> Row:
    """A fact as a row."""
    return Row(
        name=name,
        property=what,
        value=fact.value,
        unit=fact.unit,
        source=fact.source,
        status=fact.status,
        low=fact.low,
        high=fact.high,
        at=fact.at,
        note=fact.note,
    )


def _record_row(name: str, record: Record) -> Row:
    """A record that may hold a value, a range or a text as a row."""
    notes = [record.get("note", ""), f"use: {record['use']}" if "use" in record else ""]
    return Row(
        name=name,
        property=record["title"],
        value=record.get("text", record.get("value")),
        unit=record["unit"],
        source=record["source"],
        status=Status(record["status"]),
        low=record.get("low"),
        high=record.get("high"),
        at=record.get("at", ""),
        note="; ".join(filter(None, notes)),
    )


def _materials() -> Iterator[Row]:
    for key in materials.materials():
        for name, fact in materials.material(key).facts.items():
            yield _fact_row(key, name, fact)


def _liquids() -> Iterator[Row]:
    for key in liquids.liquids():
        for name, fact in liquids.liquid(key).facts.items():
            yield _fact_row(key, name, fact)


def _prior_row(prior: priors.Prior) -> Row:
    spread = prior.low < prior.high
    return Row(
        name=prior.key,
        property=prior.title,
        value=prior.median,
        unit=prior.unit,
        source=prior.source,
        status=prior.status,
        low=prior.low if spread else None,
        high=prior.high if spread else None,
        note="; ".join(filter(None, [prior.distribution.value, prior.note])),
    )


def _priors() -> Iterator[Row]:
    yield from (_prior_row(priors.prior(key)) for key in priors.priors())


def _wear() -> Iterator[Row]:
    yield from (_prior_row(prior) for prior in priors.wear_ratios())


def _limits() -> Iterator[Row]:
    for key in limits.limits():
        limit = limits.limit(key)
        yield _fact_row(key, f"{limit.title} ({limit.sense})", limit.fact)


def _class_1() -> Iterator[Row]:
    table = data("es1")
    for capacitance, voltage in limits.class_1_capacitors():
        yield Row(
            name=f"{capacitance * 1e9:g} nF",
            property="voltage of a class 1 source (at most)",
            value=voltage,
            unit="V",
            source=table["source"],
            status=Status(table["status"]),
            note=table["note"],
        )


def _gauges() -> Iterator[Row]:
    for gauge in range(conductors.THICKEST_GAUGE, conductors.THINNEST_GAUGE + 1):
        name = str(gauge) if gauge > 0 else "0" * (1 - gauge)
        diameter = conductors.gauge_diameter(gauge)
        yield _gauge_row(name, "diameter", diameter, unit="m", source="astm-b258")
        resistance = conductors.resistance_per_metre(diameter)
        yield _gauge_row(name, "resistance at 20 °C", resistance, unit="Ω/m", source="iec-60028")


def _gauge_row(name: str, what: str, value: float, *, unit: str, source: str) -> Row:
    """A computed number of a gauge as a row."""
    return Row(name=name, property=what, value=value, unit=unit, source=source, status=Status.COMPUTED)


def _list_rows(name: str, what: str, record: Record) -> Iterator[Row]:
    """A record that holds a list of values as rows."""
    for value in record["value"]:
        yield Row(
            name=name,
            property=what,
            value=float(value),
            unit=record["unit"],
            source=record["source"],
            status=Status(record["status"]),
            note=record.get("note", ""),
        )


def _metric_wire() -> Iterator[Row]:
    table = data("conductors")
    yield from _list_rows("wire", "diameter", table["wire_diameter"])
    yield from _list_rows("cable", "cross-section", table["cable_area"])


def _series() -> Iterator[Row]:
    for name in series.series_names():
        yield from _list_rows(name, "preferred value", data("series")[name])


def _vdi_3400() -> Iterator[Row]:
    for number in range(finish.first_class(), finish.last_class() + 1):
        yield Row(
            name=str(number),
            property="Ra",
            value=finish.class_roughness(number),
            unit="m",
            source="vdi-3400",
            status=Status.COMPUTED,
        )


def _iso_286() -> Iterator[Row]:
    table = data("iso286")
    ends = table["ranges"]["up_to"]
    places = [f"{low * 1e3:g} to {high * 1e3:g} mm" for low, high in zip([0.0, *ends], ends, strict=False)]
    for grade in fits.grades():
        for at, width in zip(places, table["grades"]["width"][grade], strict=True):
            yield Row(
                name=grade,
                property="width",
                value=float(width),
                unit=table["grades"]["unit"],
                source=table["source"],
                status=Status(table["status"]),
                at=at,
            )


def _hardness() -> Iterator[Row]:
    for number in hardness.rockwell_c_rows():
        for scale in hardness.scales_at(number):
            yield _fact_row(f"{number} HRC", scale, hardness.hardness(number, scale))


def _records(table: str) -> Callable[[], Iterator[Row]]:
    def read() -> Iterator[Row]:
        yield from (_record_row(name, record) for name, record in data(table).items())

    return read


def _sources() -> Iterator[Row]:
    for work in sources():
        yield Row(
            name=work.key, property="work", value=work.title, unit="", source=work.key, status=work.status
        )


_READERS: Mapping[str, Callable[[], Iterator[Row]]] = {
    "materials": _materials,
    "liquids": _liquids,
    "priors": _priors,
    "wear": _wear,
    "limits": _limits,
    "class-1-capacitors": _class_1,
    "gauges": _gauges,
    "metric-wire": _metric_wire,
    "series": _series,
    "vdi-3400": _vdi_3400,
    "iso-286": _iso_286,
    "hardness": _hardness,
    "energy": _records("energy"),
    "practice": _records("practice"),
    "published": _records("published"),
    "sources": _sources,
}


def tables() -> tuple[str, ...]:
    """Names of all tables."""
    return tuple(_READERS)


@cache
def rows(table: str) -> tuple[Row, ...]:
    """Rows of a table, in its own order.

    Raises
    ------
    FactMissing
        If there is no such table; close names are listed.

    Examples
    --------
    >>> first = rows("gauges")[0]
    >>> first.name, first.property, first.unit
    ('0000', 'diameter', 'm')
    """
    if table not in _READERS:
        raise missing("the table", table, tables(), table="")
    return tuple(map(in_celsius, _READERS[table]()))
