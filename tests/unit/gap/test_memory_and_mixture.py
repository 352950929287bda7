"""Refusals of the memory of a ring and of delays of two kinds."""

import pytest

from gapwright.base.errors import InputRefused
from gapwright.gap.memory import ring_memory_share
from gapwright.gap.mixture import TwoWeibull, mixture_waiting_share, prompt_share

LAW = TwoWeibull()


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(InputRefused, match="late_shape must be above 0"):
        TwoWeibull(late_shape=0.0)
    with pytest.raises(InputRefused, match="reach must be above 0 m"):
        ring_memory_share(0.0, 0.0, spot_radius=0.0, spot_depth=0.0, reach=0.0)
    with pytest.raises(InputRefused, match="gap must be above 0 m"):
        prompt_share(0.0, law=LAW)
    with pytest.raises(InputRefused, match="exposure must be at least 0"):
        mixture_waiting_share(-1.0, gap=9e-6, law=LAW)
