"""Writes the OpenAPI document of the bench beside the page's sources, for the types made from it."""

import json
from pathlib import Path
from typing import Any

from gapwright.shell.desk import Desk
from gapwright.shell.preparation import Preparation
from gapwright.web.server import application


def without_words(part: Any) -> Any:
    """A part of the document without what is only said to people."""
    if isinstance(part, dict):
        return {
            key: without_words(value)
            for key, value in part.items()
            if not (key in {"description", "summary", "title"} and isinstance(value, str))
        }
    return [without_words(value) for value in part] if isinstance(part, list) else part


def contract() -> dict[str, Any]:
    """What is called and what is answered; no version of the program, which changes more often."""
    document: dict[str, Any] = without_words(
        application(Desk(None, Preparation(load=lambda: None))).openapi()
    )
    document["info"] = {"title": "gapwright bench", "version": "as installed"}
    return document


def main() -> None:
    """Write it."""
    place = Path(__file__).parent / "openapi.json"
    place.write_text(json.dumps(contract(), indent=1, sort_keys=True) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
