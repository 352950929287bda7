"""The bench as an application: its calls, its socket, its page, and the guard before them."""

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Any

from fastapi import FastAPI, WebSocket
from starlette.staticfiles import StaticFiles
from starlette.types import ASGIApp

from gapwright import __version__
from gapwright.shell.desk import Desk
from gapwright.shell.generator_desk import GeneratorDesk
from gapwright.shell.row_desk import RowDesk
from gapwright.web.answers import answer_routes
from gapwright.web.captures import capture_routes
from gapwright.web.crew import Crew
from gapwright.web.facts import fact_routes
from gapwright.web.files import file_routes
from gapwright.web.generator import generator_routes
from gapwright.web.guard import Door, Guard
from gapwright.web.live import live
from gapwright.web.messages import message_schemas
from gapwright.web.readings import reading_routes
from gapwright.web.refusals import add_refusals
from gapwright.web.rows import row_routes
from gapwright.web.work import Workplace, work_socket

PAGE = Path(__file__).parent / "static"
"""The built page."""

ABOUT = (
    "Calls behind the page of `gapwright bench`, for scripts too. Numbers are in SI units and keys end in "
    "the unit. The socket `/api/live` takes an Ask or a Stop and sends the Live... records below; "
    "`/api/work` takes a Work or a StopWork and sends the Work... records."
)


class BenchApp(FastAPI):
    """An application whose document has the messages of its socket too."""

    def openapi(self) -> dict[str, Any]:
        """The OpenAPI document."""
        if self.openapi_schema is None:
            document = super().openapi()
            schemas = document.setdefault("components", {}).setdefault("schemas", {})
            for name, schema in message_schemas().items():
                schemas.setdefault(name, schema)
        return self.openapi_schema or {}


def application(desk: Desk) -> BenchApp:
    """The calls and the page, without the guard."""
    crew, workbench = Crew(), Crew()
    own = Workplace(generators=GeneratorDesk(desk), rows=RowDesk(desk))

    @asynccontextmanager
    async def lifespan(_app: FastAPI) -> AsyncIterator[None]:
        desk.preparation.start()
        yield
        desk.preparation.stop()
        desk.drawers.close()
        desk.captures.close()
        crew.close()
        workbench.close()

    app = BenchApp(
        title="gapwright bench",
        version=__version__,
        description=ABOUT,
        openapi_url="/api/openapi.json",
        docs_url=None,
        redoc_url=None,
        lifespan=lifespan,
    )
    add_refusals(app)
    routers = (
        file_routes(desk),
        answer_routes(desk, crew),
        fact_routes(desk.drawers),
        capture_routes(desk, crew),
        reading_routes(desk, crew),
    )
    for router in routers:
        app.include_router(router)

    app.include_router(generator_routes(own.generators, workbench))
    app.include_router(row_routes(own.rows))

    @app.websocket("/api/work")
    async def work(socket: WebSocket) -> None:
        await work_socket(socket, own, workbench)

    @app.websocket("/api/live")
    async def socket(socket: WebSocket) -> None:
        await live(socket, desk, crew)

    if PAGE.is_dir():
        app.mount("/", StaticFiles(directory=PAGE, html=True), name="page")
    return app


def guarded(desk: Desk, door: Door) -> ASGIApp:
    """The whole bench behind its guard."""
    return Guard(application(desk), door)
