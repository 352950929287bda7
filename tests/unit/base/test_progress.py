"""The listener that hears nothing."""

from gapwright.base.progress import Progress, silent


def test_silent_is_a_listener_that_never_stops_the_work() -> None:
    listener: Progress = silent
    assert listener(1, 2, "members") is True
