import json
import time
from collections.abc import Iterator
from pathlib import Path
from threading import Event

import pytest
from starlette.testclient import TestClient

from gapwright.app.bench import FirstLook, Texts
from gapwright.base.progress import Progress, Stopped
from gapwright.shell.desk import Desk, Sighted
from gapwright.web.guard import Door
from gapwright.web.server import guarded
from tests.unit.web.desks import HOST, Ready, folder

LIVE = "ws://127.0.0.1:8137/api/live"
THIN = {"workpiece.thickness": "40 um", "hole.diameter": "0.58 mm"}


class Slow(Desk):
    """A desk whose looks take a while and whose drillings go on until they are stopped."""

    def __init__(self, place: Path) -> None:
        super().__init__(place, Ready())
        self.looks = 0
        self.begun, self.stopped = Event(), Event()
        self.seen: FirstLook | None = None

    def look(self, texts: Texts) -> FirstLook:
        self.looks += 1
        if self.seen is None:
            self.seen = super().look(texts)
        time.sleep(0.05)
        return self.seen

    def unfold(self, texts: Texts, *, members: int, seed: int, progress: Progress) -> Iterator[Sighted]:
        self.begun.set()
        deadline = time.monotonic() + 20.0
        while time.monotonic() < deadline:
            time.sleep(0.01)
            if not progress(1, members, f"members of seed {seed} of {len(texts.rig)}"):
                self.stopped.set()
                raise Stopped("stopped as asked")
        return iter(())


def ask(number: int, *, members: int = 0, **more: object) -> str:
    call = {
        "ask": number,
        "rig": {"name": "mine", "changes": {}},
        "job": {"name": "mine", "changes": {}},
        "members": members,
    }
    return json.dumps(call | more)


@pytest.fixture
def slow(tmp_path: Path) -> Slow:
    return Slow(folder(tmp_path))


def client(desk: Desk) -> TestClient:
    return TestClient(guarded(desk, Door(address="127.0.0.1", port=8137)), base_url=HOST)


def told(socket, message: str) -> dict:
    """The next message of a kind."""
    for _ in range(200):
        said = json.loads(socket.receive_text())
        if said["message"] == message:
            return said
    raise AssertionError(f"no {message} came")


def test_the_first_word_is_how_far_the_preparation_is(slow: Slow) -> None:
    with client(slow).websocket_connect(LIVE) as socket:
        said = json.loads(socket.receive_text())
    assert (said["message"], said["warm"], said["done"]) == ("preparing", True, said["total"])


def test_a_glance_has_flow_waveforms_findings_and_the_command_s_answer(slow: Slow) -> None:
    with client(slow).websocket_connect(LIVE) as socket:
        socket.send_text(ask(1))
        said = told(socket, "glance")
    assert [stage["stage"] for stage in said["flow"]["stages"]][:2] == ["socket", "supply"]
    assert said["waveforms"]["time_s"]["shape"] == said["waveforms"]["gap_v"]["shape"]
    assert said["circuit"]["kind"] == "relaxation"
    assert {finding["within"] for finding in said["findings"]} <= {True, False}
    for finding in said["findings"]:
        assert finding["says"].startswith(f"{finding['part']}, ")
    assert said["cautions"]


def test_a_first_look_is_shown_before_drillings_are_ready(tmp_path: Path) -> None:
    ready = Ready()
    ready.warm = False
    desk = Slow(folder(tmp_path))
    desk.preparation = ready
    with client(desk).websocket_connect(LIVE) as socket:
        socket.send_text(ask(1, members=4))
        assert told(socket, "glance")["ask"] == 1
        time.sleep(0.5)
        assert not desk.begun.is_set()
        ready.warm = True
        assert desk.begun.wait(10.0)


def test_ten_fast_keystrokes_never_queue(slow: Slow) -> None:
    with client(slow).websocket_connect(LIVE) as socket:
        socket.send_text(ask(1))
        told(socket, "glance")
        before = slow.looks
        for number in range(2, 12):
            socket.send_text(ask(number))
            time.sleep(0.002)
        answered = [told(socket, "glance")["ask"]]
        while answered[-1] != 11:
            answered.append(told(socket, "glance")["ask"])
    assert answered == sorted(answered)
    assert slow.looks - before <= 5


def test_changes_are_compared_with_what_is_saved(tmp_path: Path) -> None:
    desk = Desk(folder(tmp_path), Ready())
    with client(desk).websocket_connect(LIVE) as socket:
        rig = {"name": "mine", "changes": {"generator.capacitor.capacitance": "0.34 uF"}}
        socket.send_text(ask(1, rig=rig))
        assert told(socket, "glance")["of"] == "edited"
        assert told(socket, "glance")["of"] == "saved"
        said = told(socket, "differences")
    pulse = next(each for each in said["differences"]["saved"] if each["key"] == "pulse")
    assert pulse["change"] in ("-50 %", "-49 %", "-51 %")


def test_a_wrong_value_is_told_with_its_file_and_path(slow: Slow) -> None:
    with client(slow).websocket_connect(LIVE) as socket:
        socket.send_text(ask(1))
        told(socket, "glance")
        desk = Desk(slow.folder._root, Ready())
    with client(desk).websocket_connect(LIVE) as socket:
        socket.send_text(ask(2, rig={"name": "mine", "changes": {"supply.voltage": "70"}}))
        said = told(socket, "refused")
        assert (said["ask"], said["kind"], said["path"]) == (2, "rig", "supply.voltage")
        assert said["refused"].startswith('supply.voltage = "70" has no unit')
        socket.send_text(ask(3, rig={"name": "nowhere", "changes": {}}))
        assert "no rig called 'nowhere'" in told(socket, "refused")["refused"]
        socket.send_text(ask(4, compare=["missing"]))
        assert told(socket, "glance")["of"] == "edited"
        assert told(socket, "refused")["of"] == "missing"


@pytest.mark.parametrize("text", ["", "[]", "{", '{"ask": "x"}', '{"ask": 1}', "[" * 5000, '{"stop": "x"}'])
def test_what_is_no_ask_is_told_and_the_socket_stays(slow: Slow, text: str) -> None:
    with client(slow).websocket_connect(LIVE) as socket:
        socket.send_text(text)
        assert "an ask must be" in told(socket, "refused")["refused"]
        socket.send_text(ask(1))
        assert told(socket, "glance")["ask"] == 1


def test_a_fault_of_ours_shows_none_of_our_insides(slow: Slow, monkeypatch: pytest.MonkeyPatch) -> None:
    kept = []

    def broken(_texts: Texts) -> FirstLook:
        raise RuntimeError("secret place")

    monkeypatch.setattr("gapwright.wiring.keep_fault", lambda error, _where: kept.append(error))
    monkeypatch.setattr(slow, "look", broken)
    with client(slow).websocket_connect(LIVE) as socket:
        socket.send_text(ask(1))
        said = told(socket, "fault")
    assert "secret" not in json.dumps(said)
    assert [str(error) for error in kept] == ["secret place"]


def test_closing_the_socket_stops_its_work(slow: Slow) -> None:
    with client(slow).websocket_connect(LIVE) as socket:
        socket.send_text(ask(1, members=8))
        assert told(socket, "progress")["says"].startswith("members")
    assert slow.stopped.wait(5.0)


def test_another_ask_stops_the_work_on_the_one_before(slow: Slow) -> None:
    with client(slow).websocket_connect(LIVE) as socket:
        socket.send_text(ask(1, members=8))
        told(socket, "progress")
        socket.send_text(ask(2))
        assert slow.stopped.wait(5.0)
        assert told(socket, "glance")["ask"] == 2


def test_work_can_be_stopped_and_its_answers_stay(slow: Slow) -> None:
    with client(slow).websocket_connect(LIVE) as socket:
        socket.send_text(ask(1, members=8))
        told(socket, "progress")
        socket.send_text('{"stop": 1}')
        said = told(socket, "progress")
        while said["done"] < said["total"]:
            said = told(socket, "progress")
    assert said["says"] == "stopped as asked"
    assert slow.stopped.is_set()


@pytest.mark.slow
def test_a_forecast_unfolds_and_its_files_can_be_had(tmp_path: Path) -> None:
    there = client(Desk(folder(tmp_path), Ready()))
    found: list[dict] = []
    with there.websocket_connect(LIVE) as socket:
        rig = {"name": "mine", "changes": {"generator.capacitor.capacitance": "0.47 uF"}}
        socket.send_text(ask(1, members=3, rig=rig, job={"name": "mine", "changes": THIN}))
        while not found or found[-1]["message"] != "progress" or found[-1]["done"] < found[-1]["total"]:
            found.append(json.loads(socket.receive_text()))
    grades = [(each["of"], each["grade"], each["members"]) for each in found if each["message"] == "forecast"]
    assert grades[:3] == [("edited", "coarse", 0), ("edited", "refining", 2), ("edited", "done", 3)]
    assert {of for of, _, _ in grades} == {"edited", "saved"}
    last = next(each for each in found if each["message"] == "forecast" and each["grade"] == "done")
    assert last["drawing"]["section"]["frames"]
    assert there.get(f"/api/answer/{last['answer']}/table/ledger.csv").status_code == 200
    said = [each for each in found if each["message"] == "differences"][-1]
    assert {each["key"] for each in said["differences"]["saved"]} >= {"time", "wear"}
    call = {
        "rig": {"name": "mine", "changes": {"generator.capacitor.capacitance": "0.47 uF"}},
        "job": {"name": "mine", "changes": THIN},
        "members": 3,
    }
    again = there.post("/api/forecast", json=call).json()
    assert again["forecast"] == last["forecast"]
