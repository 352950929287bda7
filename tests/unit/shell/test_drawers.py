import os
import signal
import time

import pytest

from gapwright.app.forecast import Answer
from gapwright.base.errors import InputRefused
from gapwright.shell.drawers import Drawers
from gapwright.shell.drawn import answer_figure
from tests import made_up


def answer() -> Answer:
    return Answer(forecast=made_up.forecast(), pictures=made_up.pictures())


def test_what_is_drawn_over_there_is_the_same_as_here() -> None:
    drawers = Drawers()
    try:
        there = drawers.drawn(answer_figure, answer(), "depth", form="svg", width=8.0)
        assert there == answer_figure(answer(), "depth", form="svg", width=8.0)
        with pytest.raises(InputRefused, match="a figure must be one of"):
            drawers.drawn(answer_figure, answer(), "dept", form="svg", width=8.0)
    finally:
        drawers.close()
    assert not drawers.is_there


def test_a_process_that_was_ended_is_started_again() -> None:
    drawers = Drawers()
    try:
        os.kill(drawers.drawn(os.getpid), signal.SIGKILL)
        assert drawers.drawn(os.getpid) != os.getpid()
    finally:
        drawers.close()


def test_it_goes_when_nothing_is_drawn_for_some_time() -> None:
    drawers = Drawers(idle=0.2)
    assert drawers.drawn(os.getpid) != os.getpid()
    deadline = time.monotonic() + 10.0
    while drawers.is_there and time.monotonic() < deadline:
        time.sleep(0.05)
    assert not drawers.is_there
