from pathlib import Path

import pytest

from gapwright.wiring import demo_text
from tests.unit.web.desks import client, folder

RIG = demo_text("first-build.rig.toml")


def test_the_folder_is_listed_with_titles(tmp_path: Path) -> None:
    (folder(tmp_path) / "bad.rig.toml").write_text("file = 3", encoding="utf-8")
    found = client(tmp_path).get("/api/folder").json()
    assert found["saves"] is True
    assert found["name"] == tmp_path.name
    titles = {(each["kind"], each["name"]): each["title"] for each in found["files"]}
    assert titles["rig", "mine"] == "first build"
    bad = next(each for each in found["files"] if each["name"] == "bad")
    assert 'file must be "rig"' in bad["refused"]


def test_a_file_comes_as_a_sheet_and_as_it_is(tmp_path: Path) -> None:
    there = client(folder(tmp_path))
    sheet = there.get("/api/file/rig/mine").json()
    assert sheet["title"] == "first build"
    assert any(each["path"] == "generator.capacitor.capacitance" for each in sheet["fields"])
    assert there.get("/api/file/rig/mine/text").text == RIG


def test_checking_saves_nothing(tmp_path: Path) -> None:
    there = client(folder(tmp_path))
    call = {"name": "mine", "changes": {"supply.voltage": "70"}}
    sheet = there.post("/api/check/rig", json=call).json()
    problem = next(each["problem"] for each in sheet["fields"] if each["path"] == "supply.voltage")
    assert problem.startswith('supply.voltage = "70" has no unit')
    assert sheet["saved"] is False
    assert (tmp_path / "mine.rig.toml").read_text(encoding="utf-8") == RIG


def test_saving_keeps_the_text_of_all_that_was_not_touched(tmp_path: Path) -> None:
    there = client(folder(tmp_path))
    etag = there.get("/api/file/rig/mine").json()["etag"]
    call = {"changes": {"supply.voltage": "60 V"}, "etag": etag}
    saved = there.put("/api/file/rig/mine", json=call)
    assert saved.status_code == 200
    assert saved.json()["etag"] != etag
    assert (tmp_path / "mine.rig.toml").read_text(encoding="utf-8") == RIG.replace('"70 V" ', '"60 V" ')


def test_a_file_changed_elsewhere_is_not_covered(tmp_path: Path) -> None:
    there = client(folder(tmp_path))
    etag = there.get("/api/file/rig/mine").json()["etag"]
    (tmp_path / "mine.rig.toml").write_text(RIG + "# by hand\n", encoding="utf-8")
    answer = there.put("/api/file/rig/mine", json={"changes": {"supply.voltage": "60 V"}, "etag": etag})
    assert answer.status_code == 409
    assert "changed elsewhere" in answer.json()["refused"]
    assert answer.json()["sheet"]["etag"] != etag
    assert (tmp_path / "mine.rig.toml").read_text(encoding="utf-8").endswith("# by hand\n")


def test_what_the_command_line_would_refuse_is_not_saved(tmp_path: Path) -> None:
    there = client(folder(tmp_path))
    etag = there.get("/api/file/rig/mine").json()["etag"]
    answer = there.put("/api/file/rig/mine", json={"changes": {"supply.voltage": "-1 V"}, "etag": etag})
    assert answer.status_code == 422
    assert "supply.voltage must be above 0 V" in answer.json()["refused"]
    assert (tmp_path / "mine.rig.toml").read_text(encoding="utf-8") == RIG


def test_a_copy_is_made_under_a_new_name_only(tmp_path: Path) -> None:
    there = client(folder(tmp_path))
    call = {"from": "mine", "changes": {"name": "longer leads", "leads.length": "0.6 m"}}
    assert there.post("/api/file/rig/longer", json=call).status_code == 201
    assert there.post("/api/file/rig/longer", json=call).status_code == 409
    assert 'name = "longer leads"' in (tmp_path / "longer.rig.toml").read_text(encoding="utf-8")


def test_the_demonstration_is_not_saved() -> None:
    there = client()
    sheet = there.get("/api/file/rig/first-build").json()
    call = {"changes": {"supply.voltage": "60 V"}, "etag": sheet["etag"]}
    assert there.put("/api/file/rig/first-build", json=call).status_code == 403
    assert there.post("/api/file/rig/new", json={"from": "first-build"}).status_code == 403


@pytest.mark.parametrize("name", ["..%2fmine", "mine.rig.toml", "%2e%2e", "a%20b", "x" * 61, "mine%00"])
def test_no_path_reaches_the_disk(tmp_path: Path, name: str) -> None:
    answer = client(folder(tmp_path)).get(f"/api/file/rig/{name}")
    assert answer.status_code in (404, 422)
    assert str(tmp_path) not in answer.text


def test_a_dropped_rig_joins_the_folder_until_the_end(tmp_path: Path) -> None:
    there = client(folder(tmp_path))
    found = there.post("/api/drop?name=new.rig.toml", content=RIG.encode()).json()
    assert (found["kind"], found["name"], found["sheet"]["dropped"]) == ("rig", "new", True)
    assert there.get("/api/file/rig/new").json()["title"] == "first build"
    assert not (tmp_path / "new.rig.toml").exists()
    saved = there.put("/api/file/rig/new", json={"changes": {}, "etag": found["sheet"]["etag"]})
    assert saved.json()["dropped"] is False
    assert (tmp_path / "new.rig.toml").read_text(encoding="utf-8") == RIG


def test_anything_else_dropped_says_why_it_is_not_taken(tmp_path: Path) -> None:
    found = client(folder(tmp_path)).post("/api/drop", content=b"\x89PNG\r\n\x1a\n").json()
    assert found["kind"] == "picture"
    assert "picture" in found["says"]


def test_schemas_and_about() -> None:
    there = client()
    assert there.get("/api/schema/rig").json()["title"] == "gapwright rig file"
    assert there.get("/api/about").json()["prepared"]["warm"] is True
    assert there.get("/api/schema/boat").status_code == 422
