"""The ledger of a capture: where the joules went that instruments saw."""

from gapwright.app.captures import CaptureInHand
from gapwright.base.errors import InputRefused
from gapwright.study.measured_ledger import MeasuredLedger, MeterReadings, measured_ledger
from gapwright.study.outcome import Ledger


def ledger_of_capture(
    found: CaptureInHand, readings: MeterReadings, *, forecast: Ledger | None = None
) -> MeasuredLedger:
    """Account of a capture that was read with its rig, the forecast's beside it where there is one.

    Raises
    ------
    InputRefused
        If it was read without its rig, or its energy cannot be told.
    """
    if found.rig is None:
        raise InputRefused("a measured ledger must know its rig, got none; give --rig")
    if found.answer.energy_j is None:
        share = found.answer.clipped_share
        raise InputRefused(
            f"a measured ledger must have whole peaks, but {share:.2%} of the samples stand at an end of the "
            "recorder's range; record again with a wider range"
            if share > 0.0
            else "a measured ledger must have discharges with energy, got none in the capture; record longer"
        )
    return measured_ledger(found.rig, found.capture, found.reading, readings, forecast=forecast)
