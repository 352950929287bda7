"""Generators over HTTP and over the socket of long work."""

import base64
import io
import json
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import polars
import pytest
from PIL import Image
from starlette.testclient import TestClient, WebSocketTestSession

from gapwright.shell.generator_desk import GeneratorDesk, SweepAsk
from gapwright.web.crew import SLOW
from tests.unit.web.desks import client, folder

WORK = "ws://127.0.0.1:8137/api/work"
RIG = {"name": "mine", "changes": {}}
AT = {"start": 0.0, "stop": 1e-3, "trace": ["volts:store", "amperes:gap"], "slices": 200}


@pytest.fixture(scope="module")
def there(tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_CACHE_HOME", str(tmp_path_factory.mktemp("cache")))
        yield client(folder(tmp_path_factory.mktemp("rigs")))


@pytest.fixture(scope="module")
def generator(there: TestClient) -> str:
    answer = there.post("/api/generator", json={"rig": RIG})
    assert answer.status_code == 200, answer.text
    return str(answer.json()["generator"])


def numbers(packed: dict[str, Any]) -> np.ndarray:
    return np.frombuffer(base64.b64decode(packed["f32"]), dtype="<f4")


def heard(socket: WebSocketTestSession, work: int) -> dict[str, Any]:
    """The last word on a piece of work."""
    while True:
        said: dict[str, Any] = socket.receive_json()
        if said["work"] == work and said["message"] != "progress":
            return said


def test_a_generator_is_kept_as_its_page_shows_it(there: TestClient, generator: str) -> None:
    view = there.get(f"/api/generator/{generator}").json()["view"]
    assert [scene["scene"] for scene in view["scenes"]] == ["start-up", "spark", "short", "standing-arc"]
    told = there.post("/api/circuit", json={"rig": RIG}).json()
    assert view["told"] == told
    assert {"volts:store", "node:out"} <= {each["trace"] for each in view["traces"]}


def test_traces_are_least_and_greatest_values(there: TestClient, generator: str) -> None:
    found = there.get(f"/api/generator/{generator}/scene/spark/traces", params=AT).json()
    store, gap = found["traces"]
    assert (store["unit"], gap["unit"], found["slices"]) == ("V", "A", 200)
    assert len(numbers(store["low"])) == 200
    assert np.all(numbers(gap["low"]) <= numbers(gap["high"]))
    assert 20.0 < numbers(gap["high"]).max() < 200.0


@pytest.mark.parametrize("form", ["csv", "parquet"])
def test_waveforms_leave_as_tables(there: TestClient, generator: str, form: str) -> None:
    content = there.get(f"/api/generator/{generator}/scene/spark/traces.{form}", params=AT).content
    found = polars.read_csv(content) if form == "csv" else polars.read_parquet(io.BytesIO(content))
    assert found.columns == [
        "time_s",
        "volts_store_low_v",
        "volts_store_high_v",
        "amperes_gap_low_a",
        "amperes_gap_high_a",
    ]
    assert found.height == 200


@pytest.mark.parametrize("place", ["scene/spark/traces", "scene/short/schematic"])
def test_figures_leave_as_svg_and_png(there: TestClient, generator: str, place: str) -> None:
    asked = AT if "traces" in place else {"shows": "stress"}
    drawn = there.get(f"/api/generator/{generator}/{place}.svg", params=asked)
    assert drawn.headers["content-type"] == "image/svg+xml"
    assert "<svg" in drawn.text
    picture = there.get(f"/api/generator/{generator}/{place}.png", params=asked).content
    assert Image.open(io.BytesIO(picture)).width > 800


@pytest.mark.parametrize("place", ["findings", "scene/short/parts"])
def test_tables_leave_as_csv_and_parquet(there: TestClient, generator: str, place: str) -> None:
    at = f"/api/generator/{generator}/{place}"
    plain = polars.read_csv(there.get(f"{at}.csv").content, infer_schema_length=None)
    packed = polars.read_parquet(io.BytesIO(there.get(f"{at}.parquet").content))
    assert plain.columns == packed.columns
    assert plain.height == packed.height > 5


@pytest.mark.parametrize(
    ("path", "status"),
    [
        (f"/api/generator/{'b' * 24}", 404),
        ("/api/generator/x", 422),
        (f"/api/size/{'b' * 24}", 404),
        (f"/api/sweep/{'b' * 24}", 404),
        ("/api/generator/{}/scene/sparks/parts.csv", 422),
        ("/api/generator/{}/scene/spark/schematic.svg?shows=colours", 422),
        ("/api/generator/{}/scene/spark/traces?start=0&stop=1e-3&trace=volts:nobody", 422),
        ("/api/generator/{}/scene/spark/traces?start=0&stop=1e-3&trace=store", 422),
        ("/api/generator/{}/scene/spark/traces?start=0&stop=nan&trace=volts:store", 422),
        ("/api/generator/{}/scene/spark/traces?start=0&stop=1e-12&trace=volts:store", 422),
        ("/api/generator/{}/scene/spark/traces?start=0&stop=0.25&trace=volts:store", 404),
    ],
)
def test_what_cannot_be_is_refused_in_one_line(
    there: TestClient, generator: str, path: str, status: int
) -> None:
    answer = there.get(path.format(generator))
    assert answer.status_code == status, answer.text
    assert "\n" not in answer.json()["refused"]


def test_a_look_beyond_what_was_recorded_is_run_first(there: TestClient, generator: str) -> None:
    far = {"start": 0.0, "stop": 0.03, "trace": ["volts:store"], "slices": 100}
    with there.websocket_connect(WORK) as socket:
        socket.send_json({"work": 1, "look": {"generator": generator, "scene": "spark", **far}})
        assert heard(socket, 1) == {"work": 1, "answer": generator, "message": "done"}
    found = there.get(f"/api/generator/{generator}/scene/spark/traces", params=far)
    assert found.status_code == 200
    assert np.isfinite(numbers(found.json()["traces"][0]["high"])).all()


def test_long_work_tells_how_far_it_is_and_stops(there: TestClient, generator: str) -> None:
    far = {"start": 0.0, "stop": 300.0, "trace": ["volts:store"], "slices": 100}
    with there.websocket_connect(WORK) as socket:
        socket.send_json({"work": 5, "look": {"generator": generator, "scene": "spark", **far}})
        told = socket.receive_json()
        assert told["message"] == "progress"
        assert told["done"] < told["total"]
        socket.send_json({"stop": 5})
        began = time.monotonic()
        said = heard(socket, 5)
        assert (said["message"], said["stopped"]) == ("refused", True)
        assert time.monotonic() - began < 10.0


def test_a_generator_waits_for_no_sweep(there: TestClient, monkeypatch: pytest.MonkeyPatch) -> None:
    stays, ends = threading.Semaphore(0), threading.Event()

    def sweep(self: GeneratorDesk, ask: SweepAsk, *, progress: object) -> str:
        stays.release()
        ends.wait(60.0)
        return "swept"

    monkeypatch.setattr(GeneratorDesk, "sweep", sweep)
    axis = {"key": "leads.inductance", "first": "100 nH", "last": "400 nH", "points": 3}
    with there.websocket_connect(WORK) as socket:
        for work in range(1, SLOW + 1):
            socket.send_json({"work": work, "sweep": {"rig": RIG, "axis": axis}})
        for _ in range(SLOW):
            assert stays.acquire(timeout=60.0)
        changed = {"name": "mine", "changes": {"leads.inductance": "410 nH"}}
        socket.send_json({"work": 9, "generator": {"rig": changed}})
        said = heard(socket, 9)
        assert not ends.is_set()
        ends.set()
        assert heard(socket, 1)["answer"] == "swept"
    assert said["message"] == "done", said


def test_a_sweep_is_run_over_the_socket_and_leaves_in_every_form(there: TestClient) -> None:
    axis = {"key": "leads.inductance", "first": "100 nH", "last": "400 nH", "points": 3}
    with there.websocket_connect(WORK) as socket:
        socket.send_json({"work": 2, "sweep": {"rig": RIG, "axis": axis}})
        said = heard(socket, 2)
    assert said["message"] == "done", said
    at = f"/api/sweep/{said['answer']}"
    drawing = there.get(at).json()["drawing"]
    assert drawing["along"] == [1e-7, 2e-7, 4e-7]
    assert "<svg" in there.get(f"{at}/figure.svg").text
    assert Image.open(io.BytesIO(there.get(f"{at}/figure.png").content)).width > 400
    assert (
        polars.read_csv(there.get(f"{at}/table.csv").content)["leads.inductance"].to_list()
        == drawing["along"]
    )
    assert polars.read_parquet(io.BytesIO(there.get(f"{at}/table.parquet").content)).height == 3


def test_what_is_wrong_with_a_form_is_said_by_field(there: TestClient) -> None:
    asked = {"rig": RIG, "texts": {"energy": "1 V"}}
    found = there.post("/api/form/size", json=asked).json()["faults"]
    assert {each["field"] for each in found} == {"energy", "rate"}
    swept = {"rig": RIG, "axis": {"key": "leads.inductance", "first": "1 uH", "last": "2 V"}}
    assert [each["field"] for each in there.post("/api/form/sweep", json=swept).json()["faults"]] == ["last"]
    with there.websocket_connect(WORK) as socket:
        socket.send_json({"work": 3, "size": asked})
        assert heard(socket, 3)["field"] == "energy"
        socket.send_json({"work": 4, "sweep": swept})
        assert heard(socket, 4)["field"] == "last"
        big = {"rig": RIG, "texts": {"energy": "1 J", "rate": "1 kHz"}}
        socket.send_json({"work": 6, "size": big})
        said = heard(socket, 6)
        assert (said["field"], said["message"]) == ("energy", "refused")


@pytest.mark.parametrize(
    "said", ["{}", "[", '{"work": 1}', '{"work": 1, "generator": 3}', '{"work": 1, "size": null, "x": 1}']
)
def test_work_that_cannot_be_read_is_refused_and_the_socket_goes_on(there: TestClient, said: str) -> None:
    with there.websocket_connect(WORK) as socket:
        socket.send_text(said)
        refused = socket.receive_json()
        assert refused["message"] == "refused"
        assert "\n" not in refused["refused"]
        assert refused["work"] == (1 if '"work": 1' in said else -1)
        socket.send_text(json.dumps({"work": 9, "generator": {"rig": RIG}}))
        assert heard(socket, 9)["message"] == "done"


def test_a_candidate_becomes_a_rig_file_and_none_is_overwritten(tmp_path: Path) -> None:
    own = client(folder(tmp_path))
    asked = {"rig": RIG, "texts": {"energy": "0.8 mJ", "rate": "4 kHz", "members": "2"}}
    with own.websocket_connect(WORK) as socket:
        socket.send_json({"work": 1, "size": asked | {"kinds": ["relaxation"]}})
        said = heard(socket, 1)
    assert said["message"] == "done", said
    at = f"/api/size/{said['answer']}"
    sizing = own.get(at).json()["sizing"]
    assert polars.read_csv(own.get(f"{at}/candidates.csv").content).height == len(sizing["candidates"])
    assert own.post(f"{at}/candidate/1", json={"name": "sized"}).status_code == 201
    assert (tmp_path / "sized.rig.toml").read_text(encoding="utf-8") == sizing["candidates"][0]["rig_file"]
    before = (tmp_path / "mine.rig.toml").read_text(encoding="utf-8")
    assert own.post(f"{at}/candidate/1", json={"name": "mine"}).status_code == 409
    assert (tmp_path / "mine.rig.toml").read_text(encoding="utf-8") == before
    assert own.post(f"{at}/candidate/99", json={"name": "other"}).status_code == 422
    assert own.post(f"{at}/candidate/1", json={"name": "../out"}).status_code == 422
    assert {each.name for each in tmp_path.iterdir()} == {
        "mine.rig.toml",
        "mine.job.toml",
        "sized.rig.toml",
    }


def test_the_form_of_a_wish_is_told(there: TestClient) -> None:
    told = there.get("/api/form/size").json()
    assert told["fields"][0]["name"] == "energy"
    assert told["kinds"] == ["relaxation", "step-up", "flyback"]
