import io

import polars
import pytest
from PIL import Image

from gapwright.app.answer_tables import TABLES
from gapwright.app.claims import CLAIMS
from gapwright.shell.drawn import FIGURES
from tests import made_up
from tests.unit.web.desks import ANSWER, COARSE, client

AT = f"/api/answer/{ANSWER}"


def test_an_answer_is_kept_as_the_page_shows_it() -> None:
    found = client().get(AT).json()
    assert found["answer"] == ANSWER
    assert found["sight"]["forecast"]["rig"] == made_up.forecast().rig
    assert found["sight"]["grade"] == "done"
    assert found["sight"]["drawing"]["section"]["frames"]


def test_a_drilling_followed_spark_by_spark_is_played() -> None:
    there = client()
    assert there.get(AT).json()["sight"]["spark_by_spark"]
    played = there.get(f"{AT}/drilling").json()
    assert len(played["frames"]) > 1
    assert played["history"]["class_count"]["shape"][1] == len(played["classes"])


def test_a_drilling_not_yet_followed_is_refused() -> None:
    there, at = client(), f"/api/answer/{COARSE}"
    assert not there.get(at).json()["sight"]["spark_by_spark"]
    assert there.get(f"{at}/drilling").status_code == 404
    assert there.get(f"{at}/figure/course.svg").status_code == 422
    assert there.get(f"{at}/table/course.csv").status_code == 200


@pytest.mark.parametrize("figure", FIGURES)
def test_every_figure_comes_as_svg_and_png(figure: str) -> None:
    there = client()
    drawn = there.get(f"{AT}/figure/{figure}.svg")
    assert drawn.headers["content-type"] == "image/svg+xml"
    assert "<svg" in drawn.text
    assert f'filename="{figure}.svg"' in drawn.headers["content-disposition"]
    picture = Image.open(io.BytesIO(there.get(f"{AT}/figure/{figure}.png?width=4").content))
    assert picture.width > 400


@pytest.mark.parametrize("claim", CLAIMS)
def test_every_card_is_sixteen_to_nine(claim: str) -> None:
    picture = Image.open(io.BytesIO(client().get(f"{AT}/card/{claim}.png").content))
    assert picture.size == (1920, 1080)


@pytest.mark.parametrize("table", TABLES)
def test_every_table_comes_as_csv_and_parquet(table: str) -> None:
    there = client()
    plain = polars.read_csv(there.get(f"{AT}/table/{table}.csv").content, infer_schema_length=None)
    packed = polars.read_parquet(io.BytesIO(there.get(f"{AT}/table/{table}.parquet").content))
    assert plain.columns == packed.columns
    assert plain.height == packed.height > 0


def test_the_report_is_a_page_that_runs_nothing() -> None:
    answer = client().get(f"{AT}/report.html")
    assert "sandbox" in answer.headers["content-security-policy"]
    assert "<script" not in answer.text


@pytest.mark.parametrize(
    ("path", "status"),
    [
        (f"/api/answer/{'b' * 24}", 404),
        ("/api/answer/x", 422),
        (f"{AT}/figure/nothing.svg", 422),
        (f"{AT}/figure/flow.exe", 422),
        (f"{AT}/table/nothing.csv", 422),
        (f"{AT}/card/nothing.png", 422),
        (f"{AT}/figure/depth.svg?width=1000", 422),
    ],
)
def test_what_is_not_there_is_refused_in_one_line(path: str, status: int) -> None:
    answer = client().get(path)
    assert answer.status_code == status
    assert "\n" not in answer.json()["refused"]


def test_facts_come_with_their_sources() -> None:
    there = client()
    tables = [each["table"] for each in there.get("/api/facts").json()["tables"]]
    found = there.get(f"/api/facts/{tables[0]}").json()
    named = {row["source"] for row in found["rows"]}
    assert {each["key"] for each in found["sources"]} <= named
    assert there.get("/api/facts/limits.csv").text.startswith("name,property,value")
    assert there.get("/api/facts/nothing").status_code == 404


def test_every_stage_is_explained() -> None:
    assert len(client().get("/api/words").json()["stages"]) == 9
