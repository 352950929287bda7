"""Writes the OpenAPI document of the bench beside the page's sources, for the types made from it."""

import json
from pathlib import Path

from gapwright.shell.desk import Desk
from gapwright.shell.preparation import Preparation
from gapwright.web.server import application


def main() -> None:
    """Write it, without a version of the program: that changes more often than the calls."""
    document = application(Desk(None, Preparation(load=lambda: None))).openapi()
    document["info"]["version"] = "as installed"
    place = Path(__file__).parent / "openapi.json"
    place.write_text(json.dumps(document, indent=1, sort_keys=True) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
