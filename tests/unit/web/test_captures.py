"""A capture over the calls of the bench, as its page asks; hostile files among them."""

import gzip
import io
import json
import struct
import zipfile
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from starlette.testclient import TestClient

from gapwright.web import guard
from tests.captured_files import text_capture
from tests.unit.web.desks import ANSWER, client, folder

JSON = dict[str, object]


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    with client(folder(tmp_path_factory.mktemp("rigs"))) as made:
        yield made


def taken(bench: TestClient, label: str, content: bytes) -> str:
    reply = bench.post("/api/captures", params={"name": label}, content=content)
    assert reply.status_code == 200, reply.text
    name = reply.json()["name"]
    assert name, reply.json()["says"]
    return str(name)


@pytest.fixture(scope="module")
def read(bench: TestClient) -> JSON:
    name = taken(bench, "first run.csv", text_capture())
    reply = bench.post("/api/readings", json={"files": [name], "rig": {"name": "mine"}})
    assert reply.status_code == 200, reply.text
    found: JSON = reply.json()
    return found


def columns(content: bytes) -> tuple[dict[str, np.ndarray], JSON]:
    """Columns out of one piece, by what docs/bench.md says of it and nothing else."""
    (length,) = struct.unpack_from("<I", content)
    told = json.loads(content[4 : 4 + length])
    begin = 4 + length
    found = {
        each["name"]: np.frombuffer(content, f"<{each['type']}", each["count"], begin + each["at"])
        for each in told.pop("columns")
    }
    return found, told


def test_a_capture_is_listed_read_and_found_again(bench: TestClient, read: JSON) -> None:
    listed = bench.get("/api/captures").json()
    assert listed["stays"]
    assert "first-run.csv" in [each["name"] for each in listed["captures"]]
    sight = read["sight"]
    assert sight["answer"]["files"] == ["first-run.csv"]
    assert sight["answer"]["sparks"]["count"] > 150
    assert "sparks in" in sight["says"]
    again = bench.get(f"/api/readings/{read['reading']}").json()
    assert again == read
    once_more = bench.post("/api/readings", json={"files": ["first-run.csv"], "rig": {"name": "mine"}})
    assert once_more.json()["reading"] == read["reading"]
    assert bench.get("/api/captures/first-run.csv/progress").json() == {"says": "", "done": 0, "total": 0}


def test_a_window_holds_the_extremes_and_at_last_the_samples(bench: TestClient, read: JSON) -> None:
    end = read["sight"]["end_s"]
    place = f"/api/readings/{read['reading']}/window"
    whole, told = columns(bench.get(place, params={"start_s": 0, "stop_s": end, "columns": 300}).content)
    channel = read["sight"]["answer"]["channels"][0]
    assert not told["single"]
    assert len(whole["left_s"]) == 300
    assert whole["voltage_least_v"].min() == pytest.approx(channel["least"], rel=1e-6)
    assert whole["voltage_greatest_v"].max() == pytest.approx(channel["greatest"], rel=1e-6)
    close, told = columns(bench.get(place, params={"start_s": 1e-3, "stop_s": 1e-3 + 2e-6}).content)
    assert told["single"]
    assert np.diff(close["left_s"]) == pytest.approx(1e-7, rel=1e-3)
    assert np.array_equal(close["voltage_least_v"], close["voltage_greatest_v"])
    wrong = bench.get(place, params={"start_s": end + 1, "stop_s": end + 2})
    assert (wrong.status_code, "a window must lie within" in wrong.json()["refused"]) == (422, True)


def test_sparks_are_told_one_by_one_and_by_class(bench: TestClient, read: JSON) -> None:
    end, place = read["sight"]["end_s"], f"/api/readings/{read['reading']}"
    window = {"start_s": 0, "stop_s": end}
    found, told = columns(bench.get(f"{place}/sparks", params=window).content)
    classes = read["sight"]["classes"]
    assert told["counts"] == {
        name: each["count"] for name, each in read["sight"]["answer"]["classes"].items()
    }
    assert len(found["row"]) == sum(told["counts"].values())
    only, _ = columns(bench.get(f"{place}/sparks", params=window | {"classes": "normal,partial"}).content)
    assert {classes[int(code)] for code in only["class"]} == {"normal", "partial"}

    middle = float(found["start_s"][20]) + 0.4 * float(found["duration_s"][20])
    spark = bench.get(f"{place}/near", params={"time_s": middle}).json()
    assert spark["row"] == 20
    assert spark["name"] == classes[int(found["class"][20])]
    assert 0.5 <= spark["confidence"] <= 1.0
    assert spark["reason"]
    assert (spark["before"], spark["after"]) == (19, 21)
    assert bench.get(f"{place}/spark/20").json() == spark
    assert bench.get(f"{place}/spark/999999").status_code == 422
    assert "a class must be one of open" in bench.get(f"{place}/spark/1?classes=odd").json()["refused"]
    contact = bench.get(f"{place}/near", params={"time_s": 0, "classes": "contact"})
    assert "there is no event of these classes" in contact.json()["refused"]

    strips = bench.get(f"{place}/timeline", params=window | {"columns": 50}).json()
    counts = {strip["class_name"]: sum(strip["count"]) for strip in strips["classes"]}
    assert counts == {name: count for name, count in told["counts"].items() if count}


def test_a_capture_stands_beside_the_forecast(bench: TestClient, read: JSON) -> None:
    place = f"/api/readings/{read['reading']}"
    rows = bench.get(f"{place}/beside/{ANSWER}").json()["rows"]
    assert [row["name"] for row in rows][:2] == ["sparks a second", "mean energy of a spark"]
    account = bench.get(f"{place}/ledger", params={"supply_voltage": "24 V", "answer": ANSWER}).json()
    assert account["forecast"]["basis"] == "the forecast, over the whole drilling"
    assert {line["stage"] for line in account["ledger"]["lines"]} >= {"store", "spark"}
    assert all(line["uncertainty_j"] > 0.0 for line in account["ledger"]["lines"])
    wrong = bench.get(f"{place}/ledger", params={"supply_voltage": "24 A"})
    assert (wrong.status_code, "which is a current" in wrong.json()["refused"]) == (422, True)
    energies = bench.get(f"{place}/energies", params={"classes": "normal"}).json()["energies"]
    assert energies["sparks"] == read["sight"]["answer"]["classes"]["normal"]["count"]


@pytest.mark.parametrize("figure", ["overview", "sparks", "delay", "energy", "classes", "ledger"])
def test_every_figure_leaves_as_a_file(bench: TestClient, read: JSON, figure: str) -> None:
    reply = bench.get(f"/api/readings/{read['reading']}/figure/{figure}.svg")
    assert reply.status_code == 200
    assert "<svg" in reply.text[:500]


@pytest.mark.parametrize("claim", ["good", "energy"])
@pytest.mark.parametrize(("form", "begins"), [("svg", b"<"), ("png", b"\x89PNG")])
def test_every_card_leaves_as_a_file(
    bench: TestClient, read: JSON, claim: str, form: str, begins: bytes
) -> None:
    reply = bench.get(f"/api/readings/{read['reading']}/card/{claim}.{form}")
    assert reply.status_code == 200
    assert reply.content.startswith(begins)
    assert f"card-{claim}.{form}" in reply.headers["content-disposition"]


@pytest.mark.parametrize("table", ["sparks", "course", "ledger"])
@pytest.mark.parametrize(("form", "begins"), [("csv", b"st"), ("parquet", b"PAR1")])
def test_every_table_leaves_as_a_file(
    bench: TestClient, read: JSON, table: str, form: str, begins: bytes
) -> None:
    reply = bench.get(f"/api/readings/{read['reading']}/table/{table}.{form}")
    assert reply.status_code == 200
    assert reply.content.startswith(begins)
    assert "attachment" in reply.headers["content-disposition"]


def test_a_file_of_no_such_name_is_told(bench: TestClient, read: JSON) -> None:
    place = f"/api/readings/{read['reading']}"
    assert "a figure must be one of" in bench.get(f"{place}/figure/delays.svg").json()["refused"]
    assert "a card must be one of good, energy" in bench.get(f"{place}/card/god.svg").json()["refused"]
    assert "a table must be one of" in bench.get(f"{place}/table/all.csv").json()["refused"]
    assert bench.get("/api/readings/" + "0" * 24).status_code == 404


def test_other_words_give_another_reading(bench: TestClient, read: JSON) -> None:
    call = {"files": ["first-run.csv"], "said": {"voltage_probe": "2"}}
    other = bench.post("/api/readings", json=call).json()
    assert other["reading"] != read["reading"]
    ratio = other["sight"]["answer"]["open_voltage_v"] / read["sight"]["answer"]["open_voltage_v"]
    assert ratio == pytest.approx(2.0, rel=0.01)
    refused = bench.get(f"/api/readings/{other['reading']}/ledger").json()["refused"]
    assert refused.startswith("a measured ledger must know its rig")


def test_a_capture_kept_opens_again(bench: TestClient, read: JSON) -> None:
    reply = bench.post(f"/api/readings/{read['reading']}/keep")
    assert reply.status_code == 201
    name = reply.json()["name"]
    again = bench.post("/api/readings", json={"files": [name], "rig": {"name": "mine"}}).json()
    assert again["sight"]["answer"]["sparks"] == read["sight"]["answer"]["sparks"]
    assert again["sight"]["answer"]["form"] == "kept capture"


def test_setup_tells_which_clip_would_short_the_store(bench: TestClient) -> None:
    made = bench.post("/api/setup", json={"rig": {"name": "mine"}}).json()
    places = {place["place"]: place["shorts_on_frame"] for place in made["told"]["earth"]["places"]}
    assert places["electrode, at its brush or clamp"] == ["the store"]
    assert places[made["told"]["earth"]["best"]] == []
    assert "<svg" in bench.get(f"/api/setup/{made['setup']}/earth.svg").text[:500]
    assert bench.get("/api/setup/" + "0" * 24 + "/earth.svg").status_code == 404


def zip_bomb() -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as made:
        made.writestr("run.csv", b"0,1\n" * 40_000_000)
    return stream.getvalue()


HOSTILE = {
    "bomb.zip": (zip_bomb, "must unpack to at most"),
    "cut.csv.gz": (lambda: gzip.compress(text_capture())[:20_000], "must be a whole archive"),
    "cut.npy": (lambda: b"\x93NUMPY\x01\0v\0{'descr'", "cut.npy"),
    "cut.parquet": (lambda: b"PAR1" + b"\0" * 200, "cut.parquet"),
    "cut.h5": (lambda: b"\x89HDF\r\n\x1a\n" + b"\0" * 200, "cut.h5"),
    "many.zip": (lambda: archive({"a.csv": b"1,2\n", "b.csv": b"1,2\n"}), "must hold one file, got 2"),
    "short.csv": (lambda: b"0,1\n1e-6,2\n2e-6,1\n", "apart to be told from each other"),
}


def archive(inside: dict[str, bytes]) -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as made:
        for name, content in inside.items():
            made.writestr(name, content)
    return stream.getvalue()


@pytest.mark.parametrize("label", list(HOSTILE))
def test_a_hostile_file_is_refused_in_one_line(bench: TestClient, label: str) -> None:
    made, says = HOSTILE[label]
    name = taken(bench, label, made())
    reply = bench.post("/api/readings", json={"files": [name], "rig": {"name": "mine"}})
    assert reply.status_code == 422, reply.text
    refused = reply.json()["refused"]
    assert says in refused
    assert "\n" not in refused
    assert len(refused) < 400
    assert "captures/" not in refused
    assert "/tmp" not in refused


def test_what_is_too_large_is_cut_off_and_leaves_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(guard.LARGEST, "/api/captures", 1000)
    with client(folder(tmp_path)) as bench:
        told = bench.post("/api/captures?name=huge.csv", content=b"1,2\n" * 1000)
        assert (told.status_code, "at most 1000 bytes" in told.json()["refused"]) == (413, True)

        def unsaid() -> Iterator[bytes]:
            for _ in range(1000):
                yield b"1,2\n" * 10

        grown = bench.post("/api/captures?name=huge.csv", content=unsaid())
        assert grown.status_code == 413
        assert bench.get("/api/captures").json()["captures"] == []
    assert not list((tmp_path / "captures").iterdir())


def test_a_picture_is_not_taken_for_a_capture(bench: TestClient) -> None:
    reply = bench.post("/api/captures?name=run.csv", content=b"\x89PNG\r\n\x1a\n")
    assert (reply.status_code, reply.json()["name"]) == (200, None)
    assert reply.json()["says"] == "'run.csv' must hold samples, got a PNG picture"


def test_a_small_capture_may_be_dropped_like_any_file(bench: TestClient) -> None:
    reply = bench.post("/api/drop?name=small.csv", content=b"0,1\n1,2\n2,3\n").json()
    assert (reply["kind"], reply["name"]) == ("capture", "small.csv")


@pytest.mark.parametrize("name", ["..%2F..%2Fetc%2Fpasswd", "mine.rig.toml", "%2e%2e", "captures"])
def test_no_path_reaches_the_file_system(bench: TestClient, name: str) -> None:
    assert bench.get(f"/api/captures/{name}/progress").status_code in (200, 404, 422)
    reply = bench.post("/api/readings", json={"files": [name.replace("%2F", "/").replace("%2e", ".")]})
    assert reply.status_code in (404, 422)
    assert "root:" not in reply.text


def test_a_form_says_what_is_wrong_beside_the_value(bench: TestClient) -> None:
    form = bench.post("/api/captures/said", json={"said": {"shunt": "10 V"}}).json()
    problems = {field["key"]: field["problem"] for field in form["fields"] if field["problem"]}
    assert problems == {"shunt": 'shunt must be a resistance in Ω, got "10 V", which is a voltage in V'}
