from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, settings

from gapwright.web.guard import Guard
from gapwright.web.messages import MESSAGES
from gapwright.web.server import application
from tests.unit.web.desks import DOOR, desk

APP = application(desk())
GUARDED = Guard(APP, DOOR)


async def at_home(scope: Any, receive: Any, send: Any) -> None:
    """The guarded bench under its own host, whatever the caller calls it."""
    if scope["type"] == "http":
        others = [(name, value) for name, value in scope["headers"] if name != b"host"]
        scope = scope | {"headers": [*others, (b"host", b"127.0.0.1:8137")]}
    await GUARDED(scope, receive, send)


document = schemathesis.openapi.from_asgi("/api/openapi.json", at_home)


@document.parametrize()
@settings(max_examples=12, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
def test_every_call_keeps_to_the_document(case) -> None:
    case.call_and_validate()


def test_the_document_has_the_messages_of_the_socket() -> None:
    schemas = APP.openapi()["components"]["schemas"]
    assert {record.__name__ for record in MESSAGES} | {"Ask", "Stop", "FlowDrawing"} <= set(schemas)


def test_every_call_says_what_it_does() -> None:
    for path, methods in APP.openapi()["paths"].items():
        for method, call in methods.items():
            assert call.get("description"), f"{method} {path}"


@pytest.mark.parametrize("path", ["/docs", "/redoc", "/openapi.json"])
def test_no_page_of_another_maker_is_served(path: str) -> None:
    assert path not in {getattr(route, "path", "") for route in APP.routes}
