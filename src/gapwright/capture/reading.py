"""What a capture says: calibration, spark records, statistics and their meaning in words."""

from dataclasses import dataclass

from gapwright.base.progress import Progress, silent
from gapwright.capture.calibration import Calibration, calibrated
from gapwright.capture.energy import scales_of
from gapwright.capture.records import Place, discharge_table, joined
from gapwright.capture.segment import Runner, segmented, stretch_of
from gapwright.capture.settings import AS_FOUND, ReadingSettings
from gapwright.capture.sparks import SparkTable
from gapwright.capture.waveform import Capture


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CaptureReading:
    """All that was understood of a capture."""

    calibration: Calibration
    sparks: SparkTable


def spark_records(
    capture: Capture,
    calibration: Calibration,
    settings: ReadingSettings = AS_FOUND,
    *,
    run: Runner = map,
    progress: Progress = silent,
) -> SparkTable:
    """Spark records of a capture whose levels are known."""
    zero = calibration.current_zero.value if calibration.current_zero is not None else 0.0
    scales, tables, places = scales_of(capture, zero), [], capture.segments
    for number in range(places.starts.size):
        stretch = stretch_of(capture, number, calibration.edges)
        rows = segmented(stretch, pieces=settings.threads, run=run, progress=progress)
        place = Place(first=int(places.starts[number]), time=float(places.times[number]), count=stretch.count)
        tables.append(discharge_table(rows, scales, calibration, settings, place))
    return joined(tables)


def understand(
    capture: Capture,
    settings: ReadingSettings = AS_FOUND,
    *,
    run: Runner = map,
    progress: Progress = silent,
) -> CaptureReading:
    """Read a capture: find its levels, cut it into sparks, classify and account each.

    Parameters
    ----------
    capture
        Samples with their meaning.
    settings
        What is known beforehand.
    run
        How pieces are run: `map`, or the like of a pool of threads.
    progress
        Hears how far the pass is.
    """
    calibration = calibrated(capture, settings)
    sparks = spark_records(capture, calibration, settings, run=run, progress=progress)
    return CaptureReading(calibration=calibration, sparks=sparks)
