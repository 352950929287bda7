"""Two answers side by side: what changes from one to the other, and whether that is for the better."""

from collections.abc import Mapping
from dataclasses import dataclass

from gapwright.app.drawing import FlowDrawing
from gapwright.app.wording import banded_text, quantity_text
from gapwright.study.generator.generator_alone import GeneratorAlone
from gapwright.study.grounds.outcome import Banded, Forecast

SAME = 0.005
"""Relative change below which two numbers are called the same."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """One number here and there; `better` is None where neither way is better."""

    key: str
    name: str
    here: str
    there: str
    change: str
    better: bool | None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Kind:
    """A number that is compared: its name, unit, and whether less of it is better."""

    name: str
    unit: str
    less_is_better: bool | None


KINDS: Mapping[str, _Kind] = {
    "time": _Kind(name="time of a hole", unit="s", less_is_better=True),
    "entry": _Kind(name="entry diameter", unit="mm", less_is_better=None),
    "wear": _Kind(name="electrode used", unit="mm", less_is_better=True),
    "roughness": _Kind(name="roughness Ra", unit="µm", less_is_better=True),
    "specific": _Kind(name="energy per volume", unit="J/mm³", less_is_better=True),
    "sparks": _Kind(name="sparks a second", unit="Hz", less_is_better=None),
    "energy": _Kind(name="energy of a spark", unit="J", less_is_better=None),
}


def _numbers(forecast: Forecast) -> dict[str, Banded]:
    return {
        "time": forecast.time_s,
        "entry": forecast.hole.entry_diameter_m,
        "wear": forecast.electrode.wear_length_m,
        "roughness": forecast.finish.ra_m,
        "specific": forecast.specific_energy_j_per_m3,
        "sparks": forecast.sparks.rate_hz,
        "energy": forecast.sparks.energy_j,
    }


def forecast_differences(here: Forecast, there: Forecast) -> tuple[Difference, ...]:
    """What changes from the forecast there to the one here."""
    ours, others = _numbers(here), _numbers(there)
    return tuple(_difference(key, kind, ours[key], others[key]) for key, kind in KINDS.items())


def _difference(key: str, kind: _Kind, here: Banded, there: Banded) -> Difference:
    missing = "never" if kind.unit == "s" else "unknown"
    return Difference(
        key=key,
        name=kind.name,
        here=str(banded_text(here, kind.unit, missing=missing)),
        there=str(banded_text(there, kind.unit, missing=missing)),
        change=change_text(here.median, there.median),
        better=_is_better(kind, here.median, there.median),
    )


def change_text(here: float | None, there: float | None) -> str:
    """A change in words: percent, or a ratio where it is large.

    Examples
    --------
    >>> change_text(0.8, 1.0), change_text(3.0, 1.0), change_text(1.0, 1.001), change_text(1.0, None)
    ('-20 %', '3 times', 'the same', 'unknown')
    """
    if here is None or there is None:
        return "the same" if here is there else "unknown"
    if here == there or abs(here - there) <= SAME * abs(there):
        return "the same"
    if there == 0.0 or here == 0.0:
        return "from nothing" if there == 0.0 else "to nothing"
    ratio = here / there
    if ratio >= 2.0:
        return f"{ratio:.2g} times"
    return f"{100.0 * (ratio - 1.0):+.0f} %" if ratio > 0.0 else "the other way"


def _is_better(kind: _Kind, here: float | None, there: float | None) -> bool | None:
    if kind.less_is_better is None or here == there:
        return None
    if here is None or there is None:
        return there is None if kind.unit == "s" else None
    if abs(here - there) <= SAME * abs(there):
        return None
    return (here < there) == kind.less_is_better


def look_differences(
    here: tuple[FlowDrawing, GeneratorAlone], there: tuple[FlowDrawing, GeneratorAlone]
) -> tuple[Difference, ...]:
    """What changes from the first look there to the one here."""
    names = {
        "socket": ("power from the socket", "W", True),
        "metal": ("power into the metal", "W", False),
        "pulse": ("energy of a spark", "J", None),
        "rate": ("sparks a second", "Hz", None),
        "peak": ("peak current", "A", None),
    }
    ours, others = _look_numbers(*here), _look_numbers(*there)
    return tuple(
        Difference(
            key=key,
            name=name,
            here=quantity_text(ours[key], unit),
            there=quantity_text(others[key], unit),
            change=change_text(ours[key], others[key]),
            better=_is_better(_Kind(name=name, unit=unit, less_is_better=less), ours[key], others[key]),
        )
        for key, (name, unit, less) in names.items()
    )


def _look_numbers(flow: FlowDrawing, alone: GeneratorAlone) -> dict[str, float]:
    pulse = alone.pulse
    metal = flow.stages[-1].came_in_w if flow.stages else 0.0
    return {
        "socket": flow.socket_w,
        "metal": metal,
        "pulse": pulse.energy_j if pulse else 0.0,
        "rate": pulse.rate_hz if pulse else 0.0,
        "peak": pulse.peak_current_a if pulse else 0.0,
    }
