"""The figures of one point of a sweep, as a flat table row in SI units."""

from dataclasses import fields

from gapwright.base.progress import Progress
from gapwright.rig.job import Job
from gapwright.rig.rig import Rig
from gapwright.study.grounds.outcome import Banded, ElectrodeUse, Finish, Forecast, Hole, Sparks

Figures = dict[str, float | None]
Record = Forecast | Sparks | Hole | ElectrodeUse | Finish


def circuit_figures(rig: Rig, *, progress: Progress) -> Figures:
    """Figures of a rig's generator alone."""
    from gapwright.study.generator.generator_alone import generator_bench, seen_on, told
    from gapwright.study.generator.scenes import SceneName

    made = generator_bench(rig)
    found = told(made, seen_on(made, progress=progress), scene=SceneName.SPARK)
    row: Figures = {
        "peak_open_voltage_v": found.peak_open_voltage_v,
        "fill_time_s": found.fill_time_s,
        "stored_energy_j": found.stored_energy_j,
        "short_circuit_current_a": found.short_circuit_current_a,
    }
    if found.pulse is not None:
        row |= {f"spark_{each.name}": getattr(found.pulse, each.name) for each in fields(found.pulse)}
    shares = {line.account: line.share for line in found.ledger.accounts}
    row["arc_share"] = shares.get("discharge", 0.0) / (1.0 - shares["still stored"])
    margins = {f"margin of {each.part}, {each.quantity}": each.margin for each in found.findings}
    known = [margin for margin in margins.values() if margin is not None]
    row["least_margin"] = min(known) if known else None
    return row | {name: margin for name, margin in margins.items() if margin is not None}


def forecast_figures(rig: Rig, job: Job, *, seed: int, members: int, progress: Progress) -> Figures:
    """Figures of a forecast: each banded number as median, low and high."""
    from gapwright.study.forecast.forecast import forecast

    answer, _ = forecast(rig, job, seed=seed, members=members, progress=progress)
    row: Figures = {
        "gets_through": float(answer.gets_through),
        "through_share": answer.through_share,
        "finished_share": answer.finished_share,
        "balance_error": answer.ledger.balance_error,
    }
    for prefix, record in _banded_records(answer):
        for each in fields(record):
            value = getattr(record, each.name)
            if isinstance(value, Banded):
                row |= _ends(f"{prefix}{each.name}", value)
    return row


def _banded_records(answer: Forecast) -> tuple[tuple[str, Record], ...]:
    """Records of a forecast that hold banded numbers, with what goes before their names."""
    inner: list[tuple[str, Record]] = [
        ("spark_", answer.sparks),
        ("", answer.hole),
        ("", answer.electrode),
        ("", answer.finish),
    ]
    return (("", answer), *inner)


def _ends(name: str, value: Banded) -> Figures:
    return {name: value.median, f"{name}.low": value.low, f"{name}.high": value.high}
