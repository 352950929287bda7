"""Tables of a generator's page, as columns by name; numbers in SI units, their names end in the unit."""

import re

from gapwright.app.generator_view import GeneratorView, scene_of
from gapwright.app.ports import Columns
from gapwright.app.sweep import SweepAnswer
from gapwright.study.generator.scene_traces import SceneTraces
from gapwright.study.sizing.sizing import Sizing


def parts_table(view: GeneratorView, scene: str) -> Columns:
    """What each part carries in a scene."""
    parts = scene_of(view, scene).parts
    return {
        "part": [each.part for each in parts],
        "heat_w": [each.heat_w for each in parts],
        "rms_current_a": [each.rms_current_a for each in parts],
        "peak_current_a": [each.peak_current_a for each in parts],
        "peak_voltage_v": [each.peak_voltage_v for each in parts],
        "share_of_limit": [each.stress for each in parts],
        "limit": [each.stress_of for each in parts],
    }


def findings_table(view: GeneratorView) -> Columns:
    """Every finding."""
    found = view.told.findings
    return {
        "degree": [each.degree.value for each in found],
        "part": [each.part for each in found],
        "quantity": [each.quantity for each in found],
        "scene": [str(each.scene) for each in found],
        "found": [each.found for each in found],
        "limit": [each.limit for each in found],
        "unit": [each.unit for each in found],
        "margin": [each.margin for each in found],
        "within": [each.within for each in found],
        "says": [each.text for each in found],
        "remedy": [each.remedy for each in found],
        "source": [each.source for each in found],
    }


def traces_table(found: SceneTraces) -> Columns:
    """Waveforms over a stretch: a row for each slice."""
    columns: dict[str, list[float]] = {"time_s": found.time_s.tolist()}
    for each in found.traces:
        name = re.sub(r"\W+", "_", each.asked.key).strip("_").lower()
        columns[f"{name}_low_{each.unit.lower()}"] = each.low.tolist()
        columns[f"{name}_high_{each.unit.lower()}"] = each.high.tolist()
    return columns


def sweep_table(found: SweepAnswer) -> Columns:
    """A sweep: a row for each point, with why it has no figures where it has none."""
    names = sorted({name for point in found.points for name in point.figures})
    keys = {axis.key: [point.values[axis.key] for point in found.points] for axis in found.axes}
    figures = {name: [point.figures.get(name) for point in found.points] for name in names}
    return keys | figures | {"refused": [point.refused for point in found.points]}


def candidates_table(found: Sizing) -> Columns:
    """Candidates of a sizing, the best first."""
    best = found.candidates
    columns: dict[str, list[str | float | int | bool | None]] = {
        "rank": [each.rank for each in best],
        "kind": [each.kind for each in best],
        "meets": [each.meets for each in best],
        "misses": ["; ".join(each.misses) for each in best],
        "part_count": [each.part_count for each in best],
        "largest_stress": [each.largest_stress for each in best],
        "sparking_share": [each.sparking_share for each in best],
    }
    for name in ("energy_j", "rate_hz", "peak_current_a", "left_voltage_v", "duration_s", "arc_share"):
        for end in ("median", "low", "high"):
            columns[f"{name}.{end}"] = [getattr(getattr(each, name), end) for each in best]
    return columns
