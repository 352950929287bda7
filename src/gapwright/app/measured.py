"""The ledger of a capture: where the joules went that instruments saw."""

from dataclasses import dataclass, replace

from gapwright.app.capture_answer import CLIPPED_MOST
from gapwright.app.captures import CaptureHands, CaptureInHand
from gapwright.base.errors import InputRefused
from gapwright.base.units import Number, Watts
from gapwright.capture.mean_power import mean_power
from gapwright.capture.scaling import Hookup, hooked
from gapwright.capture.waveform import Capture
from gapwright.study.captures.measured_ledger import MeasuredLedger, measured_ledger
from gapwright.study.captures.meter_readings import MeterReadings
from gapwright.study.grounds.outcome import Ledger


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


@dataclass(frozen=True, slots=True, kw_only=True)
class SupplyPower:
    """Mean power out of a supply that was recorded, and its standard uncertainty from scatter, as a share."""

    watts: Watts
    scatter: Number


def with_supply(readings: MeterReadings, power: SupplyPower) -> MeterReadings:
    """Readings whose supply was recorded.

    Raises
    ------
    InputRefused
        If a meter's voltage or current of the supply is among them, too.
    """
    return replace(readings, supply_power=power.watts, supply_power_scatter=power.scatter)


def supply_power(place: str, hands: CaptureHands) -> SupplyPower:
    """Mean power of a supply, from a capture of its voltage and current.

    The current's zero is taken as recorded, since a supply's current need not
    rest between sparks; a side-car beside the file says what else is to be known.

    Raises
    ------
    InputRefused
        If the file cannot be read, holds no current, or no power comes out of it.
    """
    capture = hands.kept(place) or _recorded(place, hands)
    if capture.current is None:
        raise InputRefused(f"{place!r} must hold the supply's voltage and current, got voltage alone")
    if max(capture.voltage_clipped, capture.current_clipped) > CLIPPED_MOST:
        raise InputRefused(
            f"{place!r} must hold whole waves, but some of its samples stand at an end of the recorder's "
            "range; record the supply again with a wider range"
        )
    watts, spread = mean_power(capture)
    if not watts > 0.0:
        raise InputRefused(
            f"{place!r} must show power out of the supply, got {watts:.3g} W on average; turn a channel over"
        )
    return SupplyPower(watts=watts, scatter=min(spread / watts, 1.0))


def _recorded(place: str, hands: CaptureHands) -> Capture:
    recording = hands.record(place, {})
    return hooked(
        recording, Hookup(**{"current_zero": 0.0, "current_drift": 0.0, **recording.hookup})
    ).capture
