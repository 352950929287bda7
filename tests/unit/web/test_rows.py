"""Holes in a row over HTTP and over the socket of long work."""

import io
from typing import Any

import polars
import pytest
from PIL import Image
from starlette.testclient import TestClient, WebSocketTestSession

from gapwright.shell.folder import NotThere
from gapwright.shell.row_desk import RowDesk
from tests.unit.web.desks import client, desk

WORK = "ws://127.0.0.1:8137/api/work"
CHOSEN: dict[str, Any] = {
    "rig": {"name": "first-build", "changes": {}},
    "job": {"name": "first-build", "changes": {"between_holes.dress_after": "1"}},
}


@pytest.fixture(scope="module")
def there() -> TestClient:
    return client()


def heard(socket: WebSocketTestSession, work: int) -> list[dict[str, Any]]:
    """All that is said of a piece of work, the last word last."""
    told: list[dict[str, Any]] = []
    while not told or told[-1]["message"] == "progress":
        said = socket.receive_json()
        if said["work"] == work:
            told.append(said)
    return told


@pytest.fixture(scope="module")
def row(there: TestClient) -> str:
    with there.websocket_connect(WORK) as socket:
        socket.send_json({"work": 1, "row": {**CHOSEN, "holes": 2, "members": 2}})
        told = heard(socket, 1)
    assert told[-1]["message"] == "done", told[-1]
    assert any("2 holes in a row" in each["says"] for each in told[:-1])
    return str(told[-1]["answer"])


def test_a_row_is_told_hole_by_hole(there: TestClient, row: str) -> None:
    sight = there.get(f"/api/row/{row}").json()["sight"]
    assert sight["heading"].startswith("2 holes in a row with one electrode, of 12")
    assert [line[0]["middle"] for line in sight["lines"]] == ["1", "2"]
    assert [line[0]["remark"] for line in sight["lines"]] == ["then dress", "then dress"]
    assert all(len(line) == len(sight["columns"]) for line in sight["lines"])
    assert sight["wanted"] == "wanted 0.58 ± 0.04 mm"
    totals = {each["name"]: each for each in sight["totals"]}
    assert totals["touching off"]["middle"] == "12 min"
    assert totals["moving on"]["middle"] == "5.5 min"
    assert totals["dressing"]["remark"] == "after every hole, as the job says"
    assert sight["row"]["dress_planned"] is True


def test_a_row_leaves_in_every_form(there: TestClient, row: str) -> None:
    at = f"/api/row/{row}"
    assert "<svg" in there.get(f"{at}/figure.svg").text
    assert Image.open(io.BytesIO(there.get(f"{at}/figure.png").content)).width > 400
    table = polars.read_csv(there.get(f"{at}/table.csv").content)
    assert table["hole"].to_list() == [1, 2]
    assert (table["entry_diameter_m.median"] > table["exit_diameter_m.median"]).all()
    assert polars.read_parquet(io.BytesIO(there.get(f"{at}/table.parquet").content)).height == 2


@pytest.mark.parametrize("holes", [0, 1, 21])
def test_a_row_that_is_none_is_refused_beside_its_field(there: TestClient, holes: int) -> None:
    with there.websocket_connect(WORK) as socket:
        socket.send_json({"work": 2, "row": {**CHOSEN, "holes": holes}})
        said = heard(socket, 2)[-1]
    assert said["refused"] == f"holes in a row must be between 2 and 20, got {holes}"
    assert (said["field"], said["stopped"]) == ("holes", False)


def test_a_row_stops_when_asked_to(there: TestClient) -> None:
    with there.websocket_connect(WORK) as socket:
        socket.send_json({"work": 3, "row": {**CHOSEN, "holes": 20, "members": 8, "seed": 7}})
        assert socket.receive_json()["message"] == "progress"
        socket.send_json({"stop": 3})
        said = heard(socket, 3)[-1]
    assert (said["message"], said["stopped"]) == ("refused", True)


def test_what_is_wrong_with_a_file_is_said(there: TestClient) -> None:
    wrong = {**CHOSEN, "job": {"name": "first-build", "changes": {"between_holes.dress_after": "0"}}}
    with there.websocket_connect(WORK) as socket:
        socket.send_json({"work": 4, "row": {**wrong, "holes": 2}})
        said = heard(socket, 4)[-1]
    assert "between_holes.dress_after must be at least 1, got 0" in said["refused"]


def test_a_row_that_is_not_kept_is_told(there: TestClient) -> None:
    assert there.get(f"/api/row/{'0' * 24}").status_code == 404
    with pytest.raises(NotThere, match="drill it again"):
        RowDesk(desk()).row("none")
