"""Rigs of the demo scenario with their jobs, changed in one place, and a drilling that asks little of "
"them."""

from dataclasses import replace
from typing import Any

from pydantic import BaseModel

from gapwright.rig.generator import short_circuit_current
from gapwright.rig.reading import job_from_text, rig_from_text
from gapwright.rig.setup import Liquid
from gapwright.study.cautions.cautions import cautions
from gapwright.study.grounds.assemble import Bench, bench
from gapwright.study.grounds.outcome import Caution
from gapwright.study.grounds.stress import Stress
from tests.unit.rig.samples import sample

DRY, FIRST, SECOND = "dry-start", "first-build", "second-build"


def altered(record: BaseModel, path: str, value: object) -> Any:
    """Copy of a file record with one value changed."""
    head, _, rest = path.partition(".")
    inner = altered(getattr(record, head), rest, value) if rest else value
    return record.model_copy(update={head: inner})


def demo(name: str, rig: dict[str, object] | None = None, job: dict[str, object] | None = None) -> Bench:
    """Rig and job of the demo scenario, with values changed by key path."""
    the_rig = rig_from_text(sample(f"{name}.rig.toml"), name)
    the_job = job_from_text(sample(f"{name}.job.toml"), name)
    for path, value in (rig or {}).items():
        the_rig = altered(the_rig, path, value)
    for path, value in (job or {}).items():
        the_job = altered(the_job, path, value)
    return bench(the_rig, the_job)


def oily(**liquid: Any) -> Bench:
    """The first build in erosion oil, covered by 50 mm unless told otherwise."""
    given = {"name": "erosion-oil", "cover": 0.05} | liquid
    return demo(FIRST, {"setup.liquid": Liquid(**given), "generator.bleeder": None})


def calm(made: Bench, **changes: Any) -> Stress:
    """Drilling that keeps within the ratings of the demo rigs."""
    store = made.rig.generator.capacitor.capacitance
    asked = Stress(
        store_volts=made.ceiling,
        stored_energy_j=0.5 * store * made.ceiling**2,
        reverse_volts=0.0,
        spark_energy_j=1e-3,
        spark_rate_hz=1000.0,
        peak_current_a=20.0,
        action_a2s=1e-5,
        short_circuit_current_a=short_circuit_current(made.rig.generator, made.rig.supply),
        feed_into_arc_a=0.1,
        coil_peak_a=1.6 if made.rig.generator.kind == "step-up" else None,
        charging_resistor_w=10.0,
        lead_inductance_h=made.rig.leads.inductance,
        duration_s=120.0,
        leak_current_a=0.0,
    )
    return replace(asked, **changes)


def raised(made: Bench, words: str, **changes: Any) -> Caution | None:
    """The one caution whose text holds these words, or None; two would be a mistake of the test."""
    found = [each for each in cautions(made, calm(made, **changes)) if words in each.text]
    if len(found) > 1:
        raise LookupError(f"{words!r} is in {len(found)} cautions")
    return found[0] if found else None
