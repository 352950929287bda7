import io

import polars

from gapwright.shell.tables import as_csv, as_parquet

COLUMNS = {"name": ["a", "=1+1", 'say "x", y'], "time_s": [1.5, None, 3.0], "count": [1, 2, 3]}


def test_a_table_comes_back_from_csv() -> None:
    lines = as_csv(COLUMNS).decode("utf-8").split("\r\n")
    assert lines[0] == "name,time_s,count"
    assert lines[2] == "'=1+1,,2"
    assert polars.read_csv(as_csv(COLUMNS))["time_s"].to_list() == [1.5, None, 3.0]


def test_a_table_comes_back_from_parquet() -> None:
    back = polars.read_parquet(io.BytesIO(as_parquet(COLUMNS)))
    assert back.to_dict(as_series=False) == COLUMNS
