"""What a forecast says, as plain texts in the order in which a person wants them."""

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from gapwright.app.flow import Flow, flow_of
from gapwright.app.forecast import Answer
from gapwright.app.wording import GROUP, banded_text, quantity_text, share_text
from gapwright.study.grounds.outcome import Banded, Forecast, Ledger, Reading, Role

if TYPE_CHECKING:
    from gapwright.study.forecast.comparison import Comparison, Difference

MISSING = "unknown"
OVER_RANGE = "over range"
"""What a meter shows of more than it can measure."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Measure:
    """One number on the page: name, middle, band, and a remark beside it."""

    name: str
    middle: str
    band: str
    remark: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One row of the ledger's table."""

    stage: str
    account: str
    role: str
    power: str
    energy: str
    share: str


def measure(name: str, value: Banded, unit: str, remark: str = "") -> Measure:
    """A banded number as the page prints it."""
    text = banded_text(value, unit, missing="never" if unit == "s" else "")
    return Measure(name=name, middle=text.middle or MISSING, band=text.band, remark=remark)


def wanted_text(answer: Answer) -> str:
    """The wanted diameter of an answer, with its tolerance."""
    return wanted_words(answer.pictures.wanted_diameter_m, answer.pictures.wanted_tolerance_m)


def wanted_words(diameter: float, tolerance: float) -> str:
    """A wanted diameter with its tolerance, both given in metres."""
    return f"wanted {1e3 * diameter:.3g} ± {1e3 * tolerance:.2g} mm"


def first_measures(answer: Answer) -> list[Measure]:
    """What a person looks at first."""
    forecast, hole = answer.forecast, answer.forecast.hole
    wanted = wanted_text(answer)
    return [
        measure("time", forecast.time_s, "s"),
        measure("entry diameter", hole.entry_diameter_m, "mm", wanted),
        measure("exit diameter", hole.exit_diameter_m, "mm", wanted),
        measure("electrode used", forecast.electrode.wear_length_m, "mm", "of its length, each hole"),
    ]


def further_measures(forecast: Forecast) -> list[Measure]:
    """The rest of the numbers."""
    hole, sparks, finish = forecast.hole, forecast.sparks, forecast.finish
    simulated = measure("overcut", hole.overcut_m, "µm", "a side, from the sparks")
    return [
        measure("depth", hole.depth_m, "mm"),
        measure("taper", hole.taper_rad, "°", "of the wall to the axis"),
        simulated,
        measure("overcut in practice", hole.practice_overcut_m, "µm", "a side, common practice"),
        measure("roughness Ra", finish.ra_m, "µm"),
        measure("VDI 3400 class", finish.vdi_3400_class, ""),
        measure("recast layer", finish.recast_m, "µm"),
        measure("volume wear ratio", forecast.electrode.volume_wear_ratio, "", "electrode to workpiece"),
        measure("sparks", sparks.count, ""),
        measure("sparks a second", sparks.rate_hz, "Hz"),
        measure("energy of a spark", sparks.energy_j, "J", "in the gap"),
        measure("removal", forecast.removal_rate_m3_per_s, "mm³/min"),
        measure("energy per volume", forecast.specific_energy_j_per_m3, "J/mm³", "from the socket"),
    ]


def reading_text(reading: Reading) -> Measure:
    """A meter reading with its band."""
    unit = "µS/cm" if reading.unit == "S/m" else reading.unit
    text = measure(reading.name, Banded(median=reading.median, low=reading.low, high=reading.high), unit)
    beyond = reading.median is None and reading.low is not None
    return replace(text, middle=OVER_RANGE) if beyond else text


def ledger_lines(ledger: Ledger, flow: Flow) -> list[Line]:
    """The whole ledger, line by line."""
    words = {Role.IN: "in", Role.OUT: "out", Role.STORED: "kept", Role.OF_WHICH: "of which"}
    return [
        Line(
            stage=line.stage,
            account=line.account,
            role=words[line.role],
            power=quantity_text(flow.watts(line.energy_j), "W"),
            energy=quantity_text(line.energy_j, "J"),
            share=share_text(line.share),
        )
        for line in ledger.accounts
    ]


def classes_text(forecast: Forecast) -> list[tuple[str, str, str]]:
    """Classes of discharge: name, count, share of time."""
    return [
        (name, f"{share.count:,}".replace(",", GROUP), share_text(share.time_share))
        for name, share in forecast.sparks.classes.items()
    ]


def endings_text(forecast: Forecast) -> str:
    """How the members ended, in one sentence."""
    parts = [f"{name} {share_text(share)}" for name, share in forecast.ended.items() if share > 0]
    return "How the members ended: " + ", ".join(parts) + "."


def flow_sentence(forecast: Forecast) -> str:
    """The flow of a forecast in words, for those who do not see the drawing."""
    return flow_in_words(flow_of(forecast.ledger))


def flow_in_words(flow: Flow) -> str:
    """A flow in words, for those who do not see the drawing."""
    parts = [f"{step.stage} {quantity_text(flow.watts(step.came_in_j), 'W')}" for step in flow.steps[1:]]
    entered = quantity_text(flow.watts(flow.entered_j), "W")
    return f"{entered} come from the socket; what arrives: " + ", ".join(parts) + "."


COMPARED = {
    "time_s": ("time", "s"),
    "entry_diameter_m": ("entry diameter", "mm"),
    "exit_diameter_m": ("exit diameter", "mm"),
    "overcut_m": ("overcut", "µm"),
    "wear_length_m": ("electrode used", "mm"),
    "removal_rate_m3_per_s": ("removal", "mm³/min"),
    "specific_energy_j_per_m3": ("energy per volume", "J/mm³"),
    "spark_rate_hz": ("sparks a second", "Hz"),
    "spark_energy_j": ("energy of a spark", "J"),
    "ra_m": ("roughness Ra", "µm"),
}
"""What a comparison prints, in order: its name and unit."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Contrast:
    """One row of a comparison: both rigs, how they differ, and in how many members the second is better."""

    name: str
    first: str
    second: str
    difference: str
    better: str


def contrasts(comparison: "Comparison") -> list[Contrast]:
    """Rows of a comparison; a number that neither rig has is left out."""
    return [
        contrast(name, comparison.differences[key], unit)
        for key, (name, unit) in COMPARED.items()
        if comparison.differences[key].pairs
    ]


def contrast(name: str, found: "Difference", unit: str) -> Contrast:
    """One row of a comparison."""
    missing = "never" if unit == "s" else "unknown"
    first, second = (banded_text(each, unit, missing=missing).middle for each in (found.first, found.second))
    text = banded_text(found.difference, unit, missing="beyond")
    share = found.better_share
    return Contrast(
        name=name,
        first=first,
        second=second,
        difference=str(text),
        better="" if share is None else share_text(share),
    )
