"""Made-up but complete records of a drilling, so that faces are tested without one."""

import numpy as np

from gapwright.study.drilling.playback import CLASSES, Film, Playback
from gapwright.study.drilling.recorder import Recorded
from gapwright.study.drilling.records_kept import SPARK_COLUMNS, TICK_COLUMNS, Surface
from gapwright.study.drilling.shapes_at_depth import Shapes
from gapwright.study.drilling.spark_log import SparkLog
from gapwright.study.drilling.tick_history import TickHistory
from gapwright.study.grounds import _drilling_state as state

THICKNESS, RADIUS = 1.5e-3, 0.25e-3
DEPTHS = (0.5e-3, 1.0e-3)
END = 96.0


def spark_rows(count: int = 200) -> np.ndarray:
    """Sparks of all kinds, evenly spread over time and depth."""
    rng = np.random.default_rng(4)
    rows = np.zeros((count, len(SPARK_COLUMNS)))
    at = {name: place for place, name in enumerate(SPARK_COLUMNS)}
    rows[:, at["time_s"]] = np.linspace(0.1, END, count)
    rows[:, at["depth_m"]] = np.linspace(0.0, THICKNESS, count)
    rows[:, at["radius_m"]] = RADIUS * np.sqrt(rng.uniform(size=count))
    rows[:, at["class"]] = rng.choice([state.C_NORMAL, state.C_PARTIAL], count)
    rows[:, at["surface"]] = rng.choice(3, count)
    rows[:, at["energy_j"]] = 1e-3
    rows[:, at["volume_m3"]] = 4e-15
    rows[:, at["gap_m"]] = 12e-6
    rows[:, at["batch"]] = 2.0
    return rows


def tick_rows(count: int = 3000) -> np.ndarray:
    """A steady drilling with a few shorts in its middle."""
    rng = np.random.default_rng(5)
    rows = np.zeros((count, len(TICK_COLUMNS)))
    at = {name: place for place, name in enumerate(TICK_COLUMNS)}
    share = np.arange(1, count + 1) / count
    rows[:, at["time_s"]] = END * share
    rows[:, at["depth_m"]] = THICKNESS * share
    rows[:, at["feed_m"]] = 1.6 * THICKNESS * share
    rows[:, at["gap_m"]] = 12e-6 * rng.lognormal(0.0, 0.2, count)
    rows[:, at["mean_v"]] = 42.0 + 3.0 * rng.standard_normal(count)
    rows[:, at["debris"]] = 0.02
    rows[:, at["open_s"]] = 0.3 * END / count
    rows[:, at["normal"]] = rng.poisson(100.0, count)
    rows[:, at["partial"]] = rng.poisson(20.0, count)
    middle = slice(count // 2, count // 2 + count // 20)
    rows[middle, at["is_short"]] = rng.integers(0, 2, count // 20)
    rows[middle, at["short"]] = 3.0
    rows[middle, at["mean_v"]] = 5.0
    return rows


def surfaces(depth: float) -> tuple[Surface, Surface]:
    """A straight hole of this depth, and a rod in it."""
    hole = (np.array([0.0, 0.28e-3, 0.28e-3, 0.5e-3]), np.array([depth, depth, 0.0, 0.0]))
    tip = depth - 12e-6
    return hole, (np.array([0.0, RADIUS, RADIUS]), np.array([tip, tip, tip - 5e-3]))


def recorded() -> Recorded:
    """Everything that is kept of a drilling."""
    film, history, log = Film(DEPTHS), TickHistory(), SparkLog()
    sparks, ticks = spark_rows(), tick_rows()
    done = 0
    for depth in (*DEPTHS, THICKNESS):
        now = int(len(ticks) * depth / THICKNESS)
        film.ticks(ticks[done:now])
        film.sparks(sparks[: int(len(sparks) * depth / THICKNESS)])
        done = now
        (film.end if depth == THICKNESS else lambda w, t, z=depth: film.shape(z, w, t))(*surfaces(depth))
    history.ticks(ticks)
    log.sparks(sparks)
    return Recorded(
        history=history.history(),
        shapes=Shapes(
            schema=1,
            rig="first-build",
            job="nozzle-plate",
            seed=7,
            thickness_m=THICKNESS,
            new_electrode_radius_m=RADIUS,
            shapes=tuple(film.shapes),
        ),
        playback=Playback(
            schema=1,
            rig="first-build",
            job="nozzle-plate",
            ended="through",
            classes=CLASSES,
            thickness_m=THICKNESS,
            wanted_diameter_m=0.58e-3,
            open_v=70.0,
            set_v=42.0,
            frames=tuple(film.frames),
        ),
        sparks=log.table(),
        stretch=None,
    )
