"""Members on several cores."""

import threading
import time

import pytest

from gapwright.base.progress import silent
from gapwright.shell.workers import Workers, cores


@pytest.mark.parametrize("count", [1, 2, 5])
def test_the_number_of_workers_changes_nothing(count):
    def slow_square(k):
        time.sleep(0.002 * (5 - k % 5))
        return k * k

    assert Workers(count)(slow_square, range(20)) == [k * k for k in range(20)]


def test_two_workers_work_at_the_same_time():
    both = threading.Barrier(2, timeout=20)
    assert Workers(2)(lambda _: both.wait() >= 0, [0, 1]) == [True, True]


def test_an_interruption_stops_the_others_and_starts_no_more():
    workers = Workers(2)
    heard = workers.heard_by(silent)
    started = []

    def member(k):
        started.append(k)
        if k == 0:
            raise KeyboardInterrupt
        while heard(0, 1, "members"):
            time.sleep(0.001)
        return k

    assert heard(0, 1, "members")
    with pytest.raises(KeyboardInterrupt):
        workers(member, range(50))
    assert not heard(0, 1, "members")
    assert len(started) < 50


def test_a_listener_that_asks_to_stop_is_heard():
    assert not Workers(1).heard_by(lambda *_: False)(0, 1, "members")


def test_at_least_one_core():
    assert Workers().count == cores() >= 1
