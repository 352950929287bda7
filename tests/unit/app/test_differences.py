from dataclasses import replace

import pytest

from gapwright.app.differences import change_text, forecast_differences
from gapwright.study.grounds.outcome import Banded
from tests import made_up


@pytest.mark.parametrize(
    ("here", "there", "said"),
    [
        (1.2, 1.0, "+20 %"),
        (0.5, 1.0, "-50 %"),
        (4.4, 2.0, "2.2 times"),
        (None, None, "the same"),
        (None, 3.0, "unknown"),
        (0.0, 3.0, "to nothing"),
        (3.0, 0.0, "from nothing"),
        (0.0, 0.0, "the same"),
        (-1.0, 1.0, "the other way"),
    ],
)
def test_a_change_in_words(here: float | None, there: float | None, said: str) -> None:
    assert change_text(here, there) == said


def test_a_shorter_time_is_better_and_a_wider_hole_is_neither() -> None:
    there = made_up.forecast()
    time = there.time_s
    assert time.median is not None
    shorter = Banded(median=0.5 * time.median, low=time.low, high=time.high)
    found = {each.key: each for each in forecast_differences(replace(there, time_s=shorter), there)}
    assert (found["time"].change, found["time"].better) == ("-50 %", True)
    assert (found["wear"].change, found["wear"].better) == ("the same", None)
    back = {each.key: each for each in forecast_differences(there, replace(there, time_s=shorter))}
    assert (back["time"].change, back["time"].better) == ("2 times", False)


def test_a_hole_that_is_never_done_is_worse() -> None:
    there = made_up.forecast()
    never = replace(there, time_s=Banded(median=None, low=None, high=None))
    assert next(each for each in forecast_differences(never, there) if each.key == "time").better is False
    assert next(each for each in forecast_differences(there, never) if each.key == "time").better is True
