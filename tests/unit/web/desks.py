"""Desks for tests: real folders, made-up answers, kernels that count as ready."""

from pathlib import Path

import numpy as np
from starlette.testclient import TestClient

from gapwright.shell.desk import Desk
from gapwright.shell.preparation import STEPS, Preparation, Prepared
from gapwright.study.drilling.drilling import Frame
from gapwright.study.forecast.unfolding import Unfolded
from gapwright.web.guard import Door
from gapwright.web.server import guarded
from gapwright.wiring import demo_text
from tests import made_up
from tests.made_up_records import recorded

HOST = "http://127.0.0.1:8137"
DOOR = Door(address="127.0.0.1", port=8137)
ANSWER = "a" * 24
COARSE = "c" * 24


class Ready(Preparation):
    """A preparation that has nothing to do."""

    def __init__(self) -> None:
        super().__init__(load=lambda: None)
        self.warm = True

    @property
    def state(self) -> Prepared:
        return Prepared(looks=True, warm=self.warm, says="ready", done=len(STEPS), total=len(STEPS))

    def start(self) -> None:
        """Nothing is prepared."""


def folder(place: Path) -> Path:
    """A folder with the files of a demonstration."""
    for kind in ("rig", "job"):
        text = demo_text(f"first-build.{kind}.toml")
        (place / f"mine.{kind}.toml").write_text(text, encoding="utf-8")
    return place


def desk(place: Path | None = None) -> Desk:
    """A desk with one made-up answer."""
    made = Desk(place, Ready())
    pictures = made_up.pictures()
    frame = Frame(
        time=1.0,
        depth=1e-3,
        work=(pictures.hole_radius_m, pictures.hole_depth_m),
        tool=(np.zeros(3), np.zeros(3)),
    )
    made.keep(
        ANSWER,
        Unfolded(
            forecast=made_up.forecast(),
            pictures=pictures,
            frames=(frame,),
            members=32,
            complete=True,
            recorded=recorded(),
        ),
    )
    made.keep(
        COARSE,
        Unfolded(forecast=made_up.forecast(), pictures=pictures, frames=(frame,), members=0, complete=False),
    )
    return made


def client(place: Path | None = None, *, door: Door = DOOR, host: str = HOST) -> TestClient:
    """A client of a bench behind its guard."""
    return TestClient(guarded(desk(place), door), base_url=host, raise_server_exceptions=False)
