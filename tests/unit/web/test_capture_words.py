"""What is said of a capture, kept beside it over the calls of the bench; and a supply that was recorded."""

import json
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from starlette.testclient import TestClient

from tests.captured_files import text_capture
from tests.unit.web.desks import client, folder


@pytest.fixture
def place(tmp_path: Path) -> Path:
    made = folder(tmp_path) / "captures"
    made.mkdir()
    (made / "run.csv").write_bytes(text_capture())
    return made


@pytest.fixture
def bench(place: Path) -> Iterator[TestClient]:
    with client(place.parent) as made:
        yield made


def read(bench: TestClient, **said: str) -> dict:
    call = {"files": ["run.csv"], "said": said, "rig": {"name": "mine"}}
    reply = bench.post("/api/readings", json=call)
    assert reply.status_code == 200, reply.text
    return reply.json()


def test_words_are_kept_beside_the_capture_and_read_from_there(bench: TestClient, place: Path) -> None:
    assert bench.get("/api/captures/run.csv/said").json() == {"said": {}, "etag": ""}
    plain = read(bench)["sight"]["answer"]["open_voltage_v"]
    kept = bench.put("/api/captures/run.csv/said", json={"said": {"voltage_probe": "2"}, "etag": ""})
    assert kept.status_code == 200, kept.text
    assert kept.json()["said"] == {"voltage_probe": "2"}
    assert json.loads((place / "run.csv.json").read_text())["hookup"] == {"voltage_probe": 2.0}
    assert bench.get("/api/captures").json()["captures"][0]["described"]
    assert read(bench)["sight"]["answer"]["open_voltage_v"] == pytest.approx(2.0 * plain, rel=0.01)
    cleared = read(bench, voltage_probe="")["sight"]["answer"]["open_voltage_v"]
    assert cleared == pytest.approx(plain, rel=0.01)
    gone = bench.put("/api/captures/run.csv/said", json={"said": {}, "etag": kept.json()["etag"]})
    assert gone.json()["said"] == {}
    assert read(bench)["sight"]["answer"]["open_voltage_v"] == pytest.approx(plain, rel=0.01)


def test_levels_are_kept_and_the_rest_of_a_side_car_stays(bench: TestClient, place: Path) -> None:
    own = '{"file": "capture samples", "schema": 1, "start_s": 5.0e-1, "hookup": {"voltage_probe": 1.50}}'
    (place / "run.csv.json").write_text(own)
    found = bench.get("/api/captures/run.csv/said").json()
    assert found["said"] == {"voltage_probe": "1.5"}
    said = {**found["said"], "burning_voltage": "20 V"}
    kept = bench.put("/api/captures/run.csv/said", json={"said": said, "etag": found["etag"]})
    text = (place / "run.csv.json").read_text()
    assert '"start_s": 5.0e-1' in text
    assert '"voltage_probe": 1.50' in text
    assert kept.json()["said"] == said
    levels = read(bench)["sight"]["answer"]["levels"]
    assert levels["burning_voltage_v"] == {"value": 20.0, "uncertainty": 0.0, "found": "given"}


def test_a_side_car_that_changed_meanwhile_is_not_overwritten(bench: TestClient, place: Path) -> None:
    first = bench.put("/api/captures/run.csv/said", json={"said": {"voltage_probe": "2"}, "etag": ""}).json()
    (place / "run.csv.json").write_text('{"file": "capture samples", "schema": 1, "rate_hz": 1e6}')
    call = {"said": {"voltage_probe": "3"}, "etag": first["etag"]}
    late = bench.put("/api/captures/run.csv/said", json=call)
    assert late.status_code == 409
    assert "changed elsewhere" in late.json()["refused"]
    assert "1e6" in (place / "run.csv.json").read_text()


@pytest.mark.parametrize(
    ("name", "said", "status", "says"),
    [
        ("run.csv", {"shunt": "ten"}, 422, "shunt must be a resistance"),
        ("run.csv", {"supply_voltage": "24 V"}, 422, "is not kept with a capture"),
        ("other.csv", {}, 404, "there is no capture called"),
        ("run.csv.json", {}, 404, "there is no capture called"),
        ("..", {}, 405, "not made that way"),
        ("..%2F..%2Fmine.rig.toml", {}, 405, "not made that way"),
        ("%2e%2e%5cmine", {}, 422, "capture"),
    ],
)
def test_wrong_words_and_names_write_nothing(
    bench: TestClient, place: Path, name: str, said: dict[str, str], status: int, says: str
) -> None:
    before = sorted(path.name for path in place.parent.rglob("*"))
    reply = bench.put(f"/api/captures/{name}/said", json={"said": said, "etag": ""})
    assert (reply.status_code, says in reply.json()["refused"]) == (status, True), reply.text
    assert sorted(path.name for path in place.parent.rglob("*")) == before


def test_a_link_in_place_of_a_side_car_is_not_followed(
    bench: TestClient, place: Path, tmp_path: Path
) -> None:
    outside = tmp_path / "outside.json"
    outside.write_text('{"file": "capture samples", "schema": 1}')
    (place / "run.csv.json").symlink_to(outside)
    for reply in (
        bench.get("/api/captures/run.csv/said"),
        bench.put("/api/captures/run.csv/said", json={"said": {"voltage_probe": "2"}, "etag": ""}),
    ):
        assert reply.status_code == 422
        assert "is a link" in reply.json()["refused"]
    assert "probe" not in outside.read_text()


def test_a_broken_side_car_is_said_and_left_alone(bench: TestClient, place: Path) -> None:
    (place / "run.csv.json").write_text('{"file": "capture samples", "schema": 1, "rate": 3}')
    reply = bench.get("/api/captures/run.csv/said")
    assert reply.status_code == 422
    assert "rate in the side-car 'run.csv.json' is wrong" in reply.json()["refused"]


def supply(place: Path, name: str, amperes: float = 0.5) -> None:
    times = np.arange(20_000) * 1e-5
    rows = np.stack(
        [times, 24.0 + 0.1 * np.sin(600.0 * times), amperes + 0.01 * np.cos(500.0 * times)], axis=1
    )
    lines = ["time,supply,current", "s,V,A", *(",".join(f"{x:.6g}" for x in row) for row in rows)]
    (place / name).write_text("\n".join(lines))


def test_a_recorded_supply_stands_in_for_its_meters(bench: TestClient, place: Path) -> None:
    supply(place, "supply.csv")
    supply(place, "turned.csv", -0.5)
    at = f"/api/readings/{read(bench)['reading']}"
    told = bench.get(f"{at}/ledger", params={"supply": "supply.csv"})
    assert told.status_code == 200, told.text
    line = next(row for row in told.json()["ledger"]["lines"] if row["account"] == "given to the generator")
    assert line["power_w"] == pytest.approx(12.0, rel=0.001)
    assert line["came_from"] == "measured"
    table = bench.get(f"{at}/table/ledger.csv", params={"supply": "supply.csv"})
    assert "given to the generator" in table.text
    for params, status, says in (
        ({"supply": "turned.csv"}, 422, "'turned.csv' must show power out of the supply"),
        ({"supply": "none.csv"}, 404, "there is no capture called 'none.csv'"),
        ({"supply": "../mine.rig.toml"}, 422, "supply"),
        ({"supply": "supply.csv", "supply_voltage": "24 V", "supply_current": "1 A"}, 422, "measured once"),
    ):
        reply = bench.get(f"{at}/ledger", params=params)
        assert (reply.status_code, says in reply.json()["refused"]) == (status, True), reply.text
        assert str(place) not in reply.text
