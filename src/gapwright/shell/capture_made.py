"""A capture of the simulated drilling, taken in like one that a recorder saved."""

import shutil
import tempfile
from pathlib import Path

from gapwright.app.forecast import Effort, Keeping, forecast_texts
from gapwright.base.errors import InputRefused
from gapwright.base.progress import Progress
from gapwright.shell.capture_place import CapturePlace
from gapwright.shell.drilling_files import write_capture
from gapwright.shell.workers import Workers

SEED = 0


def take_simulated(
    place: CapturePlace, rig: tuple[str, str], job: tuple[str, str], *, progress: Progress
) -> str:
    """Record a stretch of a simulated drilling, from names and texts of a rig and a job; returns its name.

    Raises
    ------
    InputRefused
        If a file breaks a rule, or the drilling does not come to the depth that is recorded.
    Stopped
        If nobody waits for it any more.
    """
    workers = Workers()
    effort = Effort(
        seed=SEED,
        members=1,
        spread=workers,
        progress=workers.heard_by(progress),
        keeping=Keeping(captures=True),
    )
    found = forecast_texts(rig, job, effort=effort)
    if found.capture is None:
        raise InputRefused(f"the drilling of {rig[0]} was not recorded; ask for another rig or job")
    label = f"{rig[0]}-simulated.parquet"
    with tempfile.TemporaryDirectory(prefix="gapwright-") as folder, place.incoming() as arriving:
        made = Path(folder) / label
        write_capture(str(made), found.capture)
        shutil.copyfile(made, arriving)
        return place.take(arriving, label)[0]
