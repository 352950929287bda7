"""Files of what was kept of a drilling: whole, readable by other programs, or refused."""

import json
from xml.etree import ElementTree

import jsonschema  # type: ignore[import-untyped]
import numpy as np
import polars as pl
import pytest

from gapwright.app.documents import as_json, file_schema
from gapwright.app.records import depths_from, points_of
from gapwright.base.errors import InputRefused
from gapwright.capture.waveform import Capture
from gapwright.shell.captures.kept import is_kept, kept_capture
from gapwright.shell.captures.reading import recording_at
from gapwright.shell.drilling_files import (
    require_capture_place,
    require_shapes_place,
    require_sparks_place,
    write_capture,
    write_every_spark,
    write_shapes,
)
from gapwright.shell.figures.canvas import NARROW, WIDE
from gapwright.shell.figures.shapes import sections_at_depths
from tests.made_up import forecast
from tests.made_up_records import DEPTHS, recorded

RECORDED = recorded()


def test_every_spark_comes_back_from_its_table(tmp_path):
    place = str(tmp_path / "sparks.parquet")
    write_every_spark(place, RECORDED.sparks, forecast())
    table = pl.read_parquet(place)
    assert table.height == len(RECORDED.sparks)
    assert table["time_s"].to_numpy().tolist() == RECORDED.sparks.column["time_s"].tolist()
    assert set(table["class"].to_list()) == {"normal", "partial"}
    assert set(table["surface"].to_list()) == {"front", "side wall", "core"}
    notes = pl.read_parquet_metadata(place)
    assert (notes["rig"], notes["seed"]) == ("first-build", "7")
    assert list(tmp_path.iterdir()) == [tmp_path / "sparks.parquet"]


def test_shapes_as_json_keep_to_their_schema(tmp_path):
    place = tmp_path / "shapes.json"
    write_shapes(str(place), RECORDED.shapes)
    found = json.loads(place.read_text(encoding="utf-8"))
    jsonschema.validate(found, file_schema("shapes"))
    assert [each["asked_depth_m"] for each in found["shapes"]] == [*DEPTHS, None]


def test_a_playback_keeps_to_its_schema():
    jsonschema.validate(json.loads(as_json(RECORDED.playback)), file_schema("playback"))


def test_shapes_as_a_table_hold_every_point(tmp_path):
    place = str(tmp_path / "shapes.parquet")
    write_shapes(place, RECORDED.shapes)
    table = pl.read_parquet(place)
    points = sum(len(s.hole.radius_m) + len(s.electrode.radius_m) for s in RECORDED.shapes.shapes)
    assert table.height == points == len(points_of(RECORDED.shapes)["radius_m"])
    assert table.filter(pl.col("asked_depth_m").is_null())["shape"].unique().to_list() == [2]
    hole = table.filter((pl.col("shape") == 0) & (pl.col("body") == "hole"))
    assert hole["depth_m"].to_list() == list(RECORDED.shapes.shapes[0].hole.depth_m)


def test_shapes_are_drawn(tmp_path):
    for name in ("shapes.svg", "shapes.PNG"):
        write_shapes(str(tmp_path / name), RECORDED.shapes)
    assert ElementTree.parse(tmp_path / "shapes.svg").getroot().tag.endswith("svg")
    assert (tmp_path / "shapes.PNG").read_bytes().startswith(b"\x89PNG")


@pytest.mark.parametrize("width", [WIDE, NARROW])
def test_sections_share_one_scale(width):
    figure = sections_at_depths(RECORDED.shapes, width)
    drawn = [axes for axes in figure.axes if axes.axison]
    assert len(drawn) == len(RECORDED.shapes.shapes)
    assert {axes.get_xlim() for axes in drawn} == {drawn[0].get_xlim()}
    assert {axes.get_ylim() for axes in drawn} == {drawn[0].get_ylim()}
    assert all(axes.get_aspect() == 1.0 for axes in drawn)


@pytest.mark.parametrize(
    ("check", "place", "words"),
    [
        (require_sparks_place, "sparks.csv", "must be named .parquet, got 'sparks.csv'"),
        (require_shapes_place, "shapes.txt", "must be named .json, .parquet, .svg, .png, got 'shapes.txt'"),
        (require_sparks_place, "no such folder/sparks.parquet", "there is no folder"),
    ],
)
def test_places_that_do_not_fit_are_refused(check, place, words):
    with pytest.raises(InputRefused, match=words):
        check(place)


def test_a_folder_in_the_way_is_refused_and_nothing_is_left(tmp_path):
    place = tmp_path / "sparks.parquet"
    place.mkdir()
    with pytest.raises(InputRefused, match="a folder or device stands there"):
        write_every_spark(str(place), RECORDED.sparks, forecast())
    assert list(tmp_path.iterdir()) == [place]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "must be lengths with commas between"),
        ("1 mm,,2 mm", "must be lengths with commas between"),
        ("1", '--shapes-at = "1" has no unit'),
        ("1 V", "--shapes-at must be a length in m"),
        ("0,5 mm", "must have points in its numbers"),
    ],
)
def test_depths_that_cannot_be_read_are_refused(text, words):
    with pytest.raises(InputRefused, match=words):
        depths_from(text)


def test_depths_are_read_in_any_unit_of_length():
    assert np.allclose(depths_from("80 um, 0.5 mm,1.2mm"), [80e-6, 0.5e-3, 1.2e-3], rtol=1e-12, atol=0.0)


CAPTURE = Capture(
    voltage=np.linspace(10.0, 70.0, 500).astype(np.float32),
    voltage_scale=1.0,
    current=np.linspace(0.0, 3.0, 500).astype(np.float32),
    current_scale=1.0,
    rate=2e6,
    current_from="given",
)


@pytest.mark.parametrize("name", ["c.csv", "c.parquet"])
def test_a_capture_reads_back_as_a_measured_one(tmp_path, name):
    place = str(tmp_path / name)
    write_capture(place, CAPTURE)
    found = recording_at(place, {})
    assert found.rate == pytest.approx(2e6, rel=1e-6)
    units = {channel.unit: channel for channel in found.channels}
    assert set(units) == {"V", "A"}
    for unit, told in (("V", CAPTURE.volts()), ("A", CAPTURE.amperes())):
        channel = units[unit]
        assert channel.codes * channel.scale + channel.offset == pytest.approx(told, rel=1e-5)


def test_a_capture_is_kept_as_measured_ones_are(tmp_path):
    place = str(tmp_path / "kept")
    write_capture(place, CAPTURE)
    assert is_kept(place)
    again = kept_capture(place)
    assert again.volts() == pytest.approx(CAPTURE.volts(), rel=1e-5)
    with pytest.raises(InputRefused, match="exists already"):
        require_capture_place(place)
