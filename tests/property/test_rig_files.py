"""Whatever a file holds, it becomes a record or is refused in one line; rewriting touches nothing else."""

import tomllib
from collections.abc import Callable
from functools import cache
from typing import Any

import tomlkit
from hypothesis import given
from hypothesis import strategies as st

from gapwright.base.errors import InputRefused
from gapwright.rig.job import Job
from gapwright.rig.reading import job_from_text, rig_from_text, to_text
from gapwright.rig.rig import Rig
from tests.unit.rig.samples import sample

FILES = ["dry-start.rig.toml", "first-build.rig.toml", "second-build.rig.toml", "first-build.job.toml"]
READERS: list[Callable[[str | bytes, str], Rig | Job]] = [rig_from_text, job_from_text]


def held(read: Callable[[str | bytes, str], Rig | Job], text: str | bytes) -> None:
    """Check that a file becomes a record or is refused in one printable line."""
    said = "my.toml: a record"
    try:
        record = read(text, "my.toml")
    except InputRefused as refused:
        said = str(refused)
    else:
        assert record.name
    assert said.startswith("my.toml: ")
    assert said.isprintable()
    assert len(said) < 2000


@cache
def places(name: str) -> tuple[tuple[str, ...], ...]:
    """Key paths of all values and tables of a sample file."""

    def walk(table: dict[str, Any], path: tuple[str, ...]) -> list[tuple[str, ...]]:
        found = []
        for key, value in table.items():
            found.append((*path, key))
            found += walk(value, (*path, key)) if isinstance(value, dict) else []
        return found

    return tuple(walk(tomllib.loads(sample(name)), ()))


@cache
def values_of(name: str) -> tuple[tuple[str, ...], ...]:
    """Key paths of all values of a sample file."""
    return tuple(path for path in places(name) if not isinstance(value_at(sample(name), path), dict))


numbers = st.integers() | st.floats() | st.sampled_from([0, -1, 1, 10**30, -(10**30), 1e300, 5e-324])
written = st.builds(
    "{}{}{}".format,
    st.floats().map(repr) | st.integers().map(str),
    st.sampled_from(["", " "]),
    st.sampled_from(
        ["", "V", "mA", "ohm", "uH", "nF", "mm", "m", "s", "MPa", "°C", "uS/cm", "rpm", "W", "mh", "%"]
    ),
)
texts = st.text(max_size=100) | st.sampled_from(
    ["air", "brass", "glass", "rod", "tube", "step-up", "relaxation", "dip"]
)
leaves = st.booleans() | numbers | written | texts | st.dates() | st.times()
keys = st.text(max_size=20) | st.sampled_from(["kind", "form", "name", "file", "schema", "median", "bore"])
trees = st.recursive(
    leaves,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(keys, inner, max_size=4),
    max_leaves=8,
)


@given(read=st.sampled_from(READERS), text=st.text() | st.binary() | st.text(alphabet='[]{}=.",# \nab1"'))
def test_any_text_or_bytes(read: Callable[[str | bytes, str], Rig | Job], text: str | bytes) -> None:
    held(read, text)


@given(name=st.sampled_from(FILES), data=st.data())
def test_a_sample_with_one_value_replaced(name: str, data: st.DataObject) -> None:
    content = tomllib.loads(sample(name))
    *tables, key = data.draw(st.sampled_from(places(name)))
    table: Any = content
    for part in tables:
        table = table[part]
    if data.draw(st.booleans()):
        table[key] = data.draw(trees)
    else:
        table[data.draw(keys)] = table.pop(key)
    held(rig_from_text if "rig" in name else job_from_text, tomlkit.dumps(content))


@given(content=st.dictionaries(keys | st.sampled_from(list(Rig.model_fields)), trees, max_size=8))
def test_any_tables_under_a_good_heading(content: dict[str, Any]) -> None:
    for kind, read in (("rig", rig_from_text), ("job", job_from_text)):
        held(read, tomlkit.dumps(content | {"file": kind, "schema": 1}))


@given(
    name=st.sampled_from(FILES),
    start=st.integers(min_value=0),
    length=st.integers(min_value=0, max_value=40),
    patch=st.text(max_size=10),
)
def test_a_sample_with_a_piece_torn_out(name: str, start: int, length: int, patch: str) -> None:
    text = sample(name)
    start %= len(text)
    held(rig_from_text if "rig" in name else job_from_text, text[:start] + patch + text[start + length :])


@given(
    name=st.sampled_from(FILES), start=st.integers(min_value=0), byte=st.integers(min_value=0, max_value=255)
)
def test_a_sample_with_one_byte_spoilt(name: str, start: int, byte: int) -> None:
    spoilt = bytearray(sample(name).encode())
    spoilt[start % len(spoilt)] = byte
    held(rig_from_text if "rig" in name else job_from_text, bytes(spoilt))


@given(name=st.sampled_from(FILES), data=st.data())
def test_rewriting_changes_one_value_and_nothing_else(name: str, data: st.DataObject) -> None:
    source = sample(name)
    path = data.draw(st.sampled_from(values_of(name)))
    new = data.draw(st.text(alphabet=st.characters(blacklist_categories=["Cs"]), max_size=20))
    changed = to_text(source, {".".join(path): new})
    assert value_at(changed, path) == new
    back = to_text(changed, {".".join(path): value_at(source, path)})
    assert tomllib.loads(back) == tomllib.loads(source)
    before, after = source.split("\n"), changed.split("\n")
    assert sum(a != b for a, b in zip(before, after, strict=True)) <= 1


def value_at(text: str, path: tuple[str, ...]) -> Any:
    """Value at a key path of a file."""
    value: Any = tomllib.loads(text)
    for key in path:
        value = value[key]
    return value
