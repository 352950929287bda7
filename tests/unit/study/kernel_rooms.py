"""State of a drilling made by hand, for tests of its kernels."""

import numpy as np

from gapwright.hole.shape import flat_face, new_electrode
from gapwright.study.drilling.records_kept import WAYS
from gapwright.study.grounds import _drilling_state as state
from gapwright.study.grounds._draws import PURPOSES, stream_keys
from gapwright.study.grounds._drilling_state import Setting, World


def luck(seed: int, member: int = 0) -> tuple[np.ndarray, np.ndarray]:
    """Keys and counts of random streams."""
    return stream_keys(seed, member, 0), np.zeros(PURPOSES, dtype=np.uint64)


def numbers(**given: float) -> np.ndarray:
    """Numbers of a state, by the lower-case names of their places."""
    num = np.zeros(state.NUMBERS)
    for name, value in given.items():
        num[getattr(state, name.upper())] = value
    return num


def flags(**given: int) -> np.ndarray:
    """Whole numbers of a state, by the lower-case names of their places."""
    flag = np.zeros(state.FLAGS, dtype=np.int64)
    for name, value in given.items():
        flag[getattr(state, name.upper())] = value
    return flag


def room(setting: Setting, *, gap: float) -> World:
    """A square-cut rod above a flat face, every ring of the face at the same gap."""
    radii, depths = flat_face(setting.swept, spacing=setting.spacing)
    tool_r, tool_h = new_electrode(setting.swept, bore=0.0, length=1e-3, spacing=setting.spacing)
    n, t = len(radii), len(tool_r)
    return World(
        work_r=radii,
        work_z=depths,
        state=np.zeros(n, dtype=np.int8),
        tool_r=tool_r,
        tool_h=tool_h,
        tool_state=np.zeros(t, dtype=np.int8),
        sizes=np.array([n, t], dtype=np.int64),
        near=np.zeros(n, dtype=np.int64),
        gap=np.full(n, gap),
        area=np.full(n, 1e-9),
        hazard=np.zeros(n),
        memory=np.zeros(n),
        leaps=np.zeros((0, 0, 0, 0, 0)),
        goes=np.zeros((0, 0, 0, 0), dtype=np.int8),
        cap=np.zeros(max(n, t)),
        way_count=np.zeros(len(WAYS)),
        class_count=np.zeros(len(state.CLASSES)),
        class_time=np.zeros(len(state.CLASSES)),
        tick_count=np.zeros(len(state.CLASSES)),
        spark_rows=np.zeros((0, 16)),
        tick_rows=np.zeros((0, 16)),
    )
