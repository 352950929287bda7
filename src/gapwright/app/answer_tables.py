"""Tables of a forecast, as columns by name; numbers in SI units, their names end in the unit."""

from collections.abc import Callable, Mapping, Sequence

from gapwright.app.flow import flow_of
from gapwright.app.forecast import Answer
from gapwright.app.ports import Columns
from gapwright.base.checks import close_names
from gapwright.base.errors import InputRefused
from gapwright.facts.tables import Row
from gapwright.study.grounds.outcome import Banded


def _measures(answer: Answer) -> Columns:
    f = answer.forecast
    rows: dict[str, Banded] = {
        "time_s": f.time_s,
        "entry_diameter_m": f.hole.entry_diameter_m,
        "exit_diameter_m": f.hole.exit_diameter_m,
        "taper_rad": f.hole.taper_rad,
        "depth_m": f.hole.depth_m,
        "overcut_m": f.hole.overcut_m,
        "practice_overcut_m": f.hole.practice_overcut_m,
        "wear_length_m": f.electrode.wear_length_m,
        "volume_wear_ratio": f.electrode.volume_wear_ratio,
        "ra_m": f.finish.ra_m,
        "vdi_3400_class": f.finish.vdi_3400_class,
        "recast_m": f.finish.recast_m,
        "sparks": f.sparks.count,
        "spark_rate_hz": f.sparks.rate_hz,
        "spark_energy_j": f.sparks.energy_j,
        "removal_rate_m3_per_s": f.removal_rate_m3_per_s,
        "specific_energy_j_per_m3": f.specific_energy_j_per_m3,
    }
    return {
        "name": list(rows),
        "median": [value.median for value in rows.values()],
        "low": [value.low for value in rows.values()],
        "high": [value.high for value in rows.values()],
    }


def _ledger(answer: Answer) -> Columns:
    lines, flow = answer.forecast.ledger.accounts, flow_of(answer.forecast.ledger)
    return {
        "stage": [line.stage for line in lines],
        "account": [line.account for line in lines],
        "role": [line.role.value for line in lines],
        "energy_j": [line.energy_j for line in lines],
        "power_w": [flow.watts(line.energy_j) for line in lines],
        "share": [line.share for line in lines],
    }


def _classes(answer: Answer) -> Columns:
    classes = answer.forecast.sparks.classes
    return {
        "class": list(classes),
        "count": [each.count for each in classes.values()],
        "time_share": [each.time_share for each in classes.values()],
    }


def _readings(answer: Answer) -> Columns:
    found = answer.forecast.expected_readings
    return {
        "key": list(found),
        "name": [each.name for each in found.values()],
        "median": [each.median for each in found.values()],
        "low": [each.low for each in found.values()],
        "high": [each.high for each in found.values()],
        "unit": [each.unit for each in found.values()],
        "if_low": [each.if_low for each in found.values()],
        "if_high": [each.if_high for each in found.values()],
    }


def _cautions(answer: Answer) -> Columns:
    found = answer.forecast.cautions
    return {
        "degree": [each.degree.value for each in found],
        "text": [each.text for each in found],
        "limit": [each.limit for each in found],
        "source": [each.source for each in found],
    }


def _depth(answer: Answer) -> Columns:
    p = answer.pictures
    low, median, high = (row.tolist() for row in p.depth_m)
    return {"time_s": p.depth_time_s.tolist(), "low_m": low, "median_m": median, "high_m": high}


def _course(answer: Answer) -> Columns:
    """The drilling shown against time; empty while it has not been followed spark by spark."""
    kept = answer.recorded
    if kept is None:
        return {"time_s": []}
    h = kept.history
    shares = {
        f"{name.replace(' ', '_')}_count": h.class_count[:, place].astype(int).tolist()
        for place, name in enumerate(kept.playback.classes)
        if name != "open"
    }
    return {
        "time_s": h.time_s.tolist(),
        "depth_m": h.depth_m.tolist(),
        "feed_m": h.feed_m.tolist(),
        "gap_low_m": h.gap_low_m.tolist(),
        "gap_high_m": h.gap_high_m.tolist(),
        "mean_low_v": h.mean_low_v.tolist(),
        "mean_high_v": h.mean_high_v.tolist(),
        "debris_high": h.debris_high.tolist(),
        "open_share": h.open_share.tolist(),
        "short_share": h.short_share.tolist(),
        **shares,
    }


def _waveforms(answer: Answer) -> Columns:
    p = answer.pictures
    return {
        "time_s": p.spark_time_s.tolist(),
        "store_v": p.store_volts.tolist(),
        "gap_v": p.gap_volts.tolist(),
        "gap_a": p.gap_amperes.tolist(),
    }


def _energies(answer: Answer) -> Columns:
    return {"spark_energy_j": answer.pictures.spark_energy_j.tolist()}


TABLES: Mapping[str, Callable[[Answer], Columns]] = {
    "measures": _measures,
    "ledger": _ledger,
    "classes": _classes,
    "readings": _readings,
    "cautions": _cautions,
    "depth": _depth,
    "course": _course,
    "waveforms": _waveforms,
    "energies": _energies,
}
"""Tables of a forecast, by name."""


def answer_table(answer: Answer, name: str) -> Columns:
    """A table of a forecast.

    Raises
    ------
    InputRefused
        If there is no table of that name.
    """
    if name not in TABLES:
        raise InputRefused(
            f"a table must be one of {', '.join(TABLES)}{close_names(name[:60], list(TABLES))}"
        )
    return TABLES[name](answer)


def facts_table(rows: Sequence[Row]) -> Columns:
    """Rows of a table of facts; a value that is a word stands in a column of its own."""
    return {
        "name": [row.name for row in rows],
        "property": [row.property for row in rows],
        "value": [row.value if isinstance(row.value, float | int) else None for row in rows],
        "word": [row.value if isinstance(row.value, str) else "" for row in rows],
        "unit": [row.unit for row in rows],
        "low": [row.low for row in rows],
        "high": [row.high for row in rows],
        "status": [row.status.value for row in rows],
        "source": [row.source for row in rows],
        "at": [row.at for row in rows],
        "note": [row.note for row in rows],
    }
