"""Records as JSON documents, and the JSON Schemas of documents and of the user's files."""

import json
from importlib import import_module
from typing import Any, cast, get_args

from pydantic import TypeAdapter

from gapwright.base.checks import close_names
from gapwright.base.errors import InputRefused
from gapwright.rig.reading import Kind
from gapwright.rig.schema import schema as rig_file_schema

FILES: tuple[str, ...] = get_args(Kind)
"""Files that the user writes."""

RESULTS = {
    "forecast": ("gapwright.study.grounds.outcome", "Forecast"),
    "comparison": ("gapwright.study.forecast.comparison", "Comparison"),
    "shapes": ("gapwright.study.drilling.shapes_at_depth", "Shapes"),
    "playback": ("gapwright.study.drilling.playback", "Playback"),
    "ledger": ("gapwright.app.forecast", "LedgerAnswer"),
    "ledger --capture": ("gapwright.study.captures.measured_ledger", "MeasuredLedger"),
    "circuit": ("gapwright.study.generator.generator_alone", "GeneratorAlone"),
    "size": ("gapwright.study.sizing.sizing", "Sizing"),
    "sweep": ("gapwright.app.sweep", "SweepAnswer"),
    "leads": ("gapwright.study.generator.lead_geometry", "LeadFigures"),
    "demo": ("gapwright.app.demo", "DemoAnswer"),
    "capture read": ("gapwright.app.capture_answer", "CaptureAnswer"),
    "capture read --each": ("gapwright.app.captures", "BatchAnswer"),
    "capture show": ("gapwright.app.captures", "DrawnAnswer"),
    "capture setup": ("gapwright.study.captures.recording_setup", "RecordingSetup"),
    "facts": ("gapwright.app.facts", "Browsed"),
    "check-install": ("gapwright.app.installation", "Installation"),
}
"""Results that a command prints with --json, and the record of each; loaded only when asked for.

`comparison` is what `forecast` prints with --compare, `shapes` what it writes with --shapes FILE.json,
`playback` what a page plays."""


def as_json(record: object) -> str:
    """A record as the text of one JSON object; None where a number would be infinite."""
    adapter: TypeAdapter[Any] = TypeAdapter(type(record))
    return json.dumps(adapter.dump_python(record, mode="json"), ensure_ascii=False, allow_nan=False, indent=1)


def schema_names() -> tuple[str, ...]:
    """Names that `file_schema` knows."""
    return (*FILES, *RESULTS)


def file_schema(name: str) -> dict[str, Any]:
    """JSON Schema of a file that the user writes, or of a result.

    Raises
    ------
    InputRefused
        If `name` is none of them.
    """
    if name in FILES:
        return rig_file_schema(cast("Kind", name))
    if name not in RESULTS:
        known = ", ".join(schema_names())
        raise InputRefused(
            f"a schema must be one of {known}, got {name!r}{close_names(name, schema_names())}"
        )
    module, record = RESULTS[name]
    described: dict[str, Any] = TypeAdapter(getattr(import_module(module), record)).json_schema(
        mode="serialization"
    )
    head = {"$schema": "https://json-schema.org/draft/2020-12/schema"}
    return head | described | {"title": f"gapwright {name} --json"}
