"""Where the measured joules went: from meter readings and a capture, each stage with its uncertainty.

What no instrument shows is a difference of two that do; its uncertainty says
how much the difference is worth. Beside each stage stands the forecast's.
"""

from dataclasses import dataclass, fields
from typing import Literal

import numpy as np

from gapwright.base.checks import require_between, require_positive
from gapwright.base.units import Number, Volts, Watts
from gapwright.capture import classify as cl
from gapwright.capture.reading import CaptureReading
from gapwright.capture.waveform import Capture
from gapwright.rig.rig import Rig
from gapwright.study.measured_quantity import Measured, measured
from gapwright.study.outcome import Account, Ledger, Role

SCHEMA = 1
LineFrom = Literal["measured", "difference", "rig file"]
SIGNIFICANT = 2.0
"""A loss below zero by more than so many of its uncertainties means that the instruments disagree."""
SUPPLY_FILE_UNCERTAINTY = 0.05
"""Standard uncertainty of a supply's efficiency and idle power from the rig file, as a share. From memory."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MeterReadings:
    """What meters showed while the capture was taken, and how good instruments are."""

    supply_voltage: Volts | None = None
    supply_current: Number | None = None
    """Mean current out of the supply. [A]"""
    socket_power: Watts | None = None
    supply_voltage_uncertainty: Number = 0.005
    """Standard uncertainty as a share; those of all four kinds of instruments are from memory."""
    supply_current_uncertainty: Number = 0.01
    socket_power_uncertainty: Number = 0.02
    voltage_gain_uncertainty: Number = 0.02
    """Of the voltage channel with its probe."""
    current_gain_uncertainty: Number = 0.03
    """Of the current channel with its shunt or clamp."""
    capacitance_uncertainty: Number = 0.05

    def __post_init__(self) -> None:
        """Refuse readings that are not above 0, and uncertainties that are no shares."""
        for name, unit in (("supply_voltage", "V"), ("supply_current", "A"), ("socket_power", "W")):
            value = getattr(self, name)
            if value is not None:
                require_positive(name, value, unit)
        for each in fields(self):
            if each.name.endswith("_uncertainty"):
                require_between(each.name, getattr(self, each.name), 0.0, 1.0, "")


NO_READINGS = MeterReadings()
"""Nothing but the capture."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuredLine:
    """One line of the measured account, over the time of the capture."""

    stage: str
    account: str
    role: Role
    energy_j: float
    uncertainty_j: float
    """Standard uncertainty."""
    power_w: float
    share: float
    """Of what came in at the first stage that was measured."""
    came_from: LineFrom
    forecast_power_w: float | None
    """Mean power of the same lines in the forecast; None where it has none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuredLedger:
    """Account of the energy of a capture; differences make it close, so its doubts stand in words."""

    schema: int
    duration_s: float
    lines: tuple[MeasuredLine, ...]
    doubts: tuple[str, ...]

    def as_ledger(self) -> Ledger:
        """Return the account in the form of the forecast's, so that it can be drawn alike."""
        accounts = tuple(
            Account(
                stage=line.stage,
                account=line.account,
                role=line.role,
                energy_j=line.energy_j,
                share=line.share,
            )
            for line in self.lines
        )
        given = sum(line.energy_j for line in self.lines if line.role is Role.IN)
        taken = sum(line.energy_j for line in self.lines if line.role is Role.OUT)
        error = (given - taken) / given if given else 0.0
        return Ledger(duration_s=self.duration_s, balance_error=error, accounts=accounts)


@dataclass(frozen=True, slots=True)
class _Line:
    stage: str
    account: str
    role: Role
    energy: Measured
    came_from: LineFrom


def measured_ledger(
    rig: Rig,
    capture: Capture,
    reading: CaptureReading,
    readings: MeterReadings = NO_READINGS,
    *,
    forecast: Ledger | None = None,
) -> MeasuredLedger:
    """Measured account of a capture, from the socket or from the first stage that was measured.

    Parameters
    ----------
    rig
        The rig that was captured; its store and its supply's efficiency are used.
    capture
        Samples, for their duration.
    reading
        What was understood of them.
    readings
        What meters showed meanwhile.
    forecast
        The forecast's account of the same rig, to stand beside.
    """
    seconds = capture.duration
    upstream = _upstream(rig, readings, seconds)
    gap = _gap_lines(reading, readings)
    burnt = _total([line.energy for line in gap])
    store = _store_given(rig, reading, readings)
    lines = [*_joined(upstream, store, burnt), *gap]
    given = next(line.energy.value for line in lines if line.role is Role.IN)
    return MeasuredLedger(
        schema=SCHEMA,
        duration_s=seconds,
        lines=tuple(_shown(line, seconds, given, forecast) for line in lines),
        doubts=_doubts(lines, reading),
    )


def _total(quantities: list[Measured]) -> Measured:
    total = Measured(0.0)
    for each in quantities:
        total = total + each
    return total


def _upstream(rig: Rig, readings: MeterReadings, seconds: float) -> list[_Line]:
    """Socket and supply, as far as meters reach; the last line is what the supply gave."""
    if readings.supply_voltage is None or readings.supply_current is None:
        return []
    volts = _by_share(readings.supply_voltage, readings.supply_voltage_uncertainty, "supply voltage")
    amperes = _by_share(readings.supply_current, readings.supply_current_uncertainty, "supply current")
    output = (volts * amperes).times(seconds)
    if readings.socket_power is not None:
        drawn = _by_share(readings.socket_power, readings.socket_power_uncertainty, "socket power")
        socket, how = drawn.times(seconds), "measured"
        lost = [_Line("supply", "conversion and idling", Role.OUT, socket - output, "difference")]
    else:
        supply, how = rig.supply, "rig file"
        factor = _by_share(1.0 / supply.efficiency - 1.0, SUPPLY_FILE_UNCERTAINTY, "supply efficiency")
        idle = _by_share(supply.idle_power * seconds, SUPPLY_FILE_UNCERTAINTY, "supply idling")
        kept = output * factor + idle
        socket = output + kept
        lost = [_Line("supply", "conversion and idling", Role.OUT, kept, "rig file")]
    first: LineFrom = "measured" if how == "measured" else "rig file"
    given = _Line("supply", "given to the generator", Role.OF_WHICH, output, "measured")
    return [_Line("socket", "from the socket", Role.IN, socket, first), *lost, given]


def _by_share(value: float, share: float, source: str) -> Measured:
    return measured(value, share * value, source)


def _store_given(rig: Rig, reading: CaptureReading, readings: MeterReadings) -> Measured | None:
    """Energy that the store gave in all discharges; None for a generator without one."""
    capacitor = getattr(rig.generator, "capacitor", None)
    if capacitor is None or reading.calibration.generator != "capacitor":
        return None
    table = reading.sparks.taken(reading.sparks.fired)
    squares = float(np.nansum(table.breakdown_voltage_v**2 - table.remaining_voltage_v**2))
    volts_squared = measured(squares, 2.0 * readings.voltage_gain_uncertainty * squares, "voltage gain")
    farads = _by_share(capacitor.capacitance, readings.capacitance_uncertainty, "capacitance")
    return (farads * volts_squared).times(0.5)


def _gap_lines(reading: CaptureReading, readings: MeterReadings) -> list[_Line]:
    """Energy in the gap by what the discharges were."""
    table, lines = reading.sparks, []
    kinds = {
        "good sparks": (cl.NORMAL, cl.PARTIAL, cl.CONTACT),
        "arcs": (cl.TRANSIENT, cl.STATIONARY),
        "shorts": (cl.SHORT,),
        "late pulses": (cl.OPEN,),
    }
    for account, codes in kinds.items():
        which = np.isin(table.class_code, codes) & table.fired
        if not which.any():
            continue
        joules = float(np.nansum(table.energy_j[which]))
        energy = Measured(joules, (("voltage gain", readings.voltage_gain_uncertainty * joules),))
        if reading.calibration.measured_from == "current":
            energy = energy + Measured(0.0, (("current gain", readings.current_gain_uncertainty * joules),))
        lines.append(_Line("spark", account, Role.OUT, energy, "measured"))
    return lines


def _joined(upstream: list[_Line], store: Measured | None, burnt: Measured) -> list[_Line]:
    """Lines down to the leads; what is between two measured stages is their difference."""
    lines = list(upstream)
    arriving = upstream[-1].energy if upstream else None
    if store is not None:
        if arriving is None:
            lines.append(_Line("store", "given by the store", Role.IN, store, "measured"))
        else:
            lines.append(_Line("charger", "charging", Role.OUT, arriving - store, "difference"))
        arriving = store
    if arriving is None:
        return [_Line("gap", "into the gap", Role.IN, burnt, "measured")]
    account = "leads and store" if store is not None else "generator and leads"
    lines.append(_Line("leads", account, Role.OUT, arriving - burnt, "difference"))
    return lines


def _shown(line: _Line, seconds: float, given: float, forecast: Ledger | None) -> MeasuredLine:
    return MeasuredLine(
        stage=line.stage,
        account=line.account,
        role=line.role,
        energy_j=line.energy.value,
        uncertainty_j=line.energy.uncertainty,
        power_w=line.energy.value / seconds,
        share=line.energy.value / given if given else 0.0,
        came_from=line.came_from,
        forecast_power_w=_beside(line, forecast),
    )


def _beside(line: _Line, forecast: Ledger | None) -> float | None:
    """Mean power of what the forecast books at the same stage."""
    if forecast is None or not forecast.duration_s > 0:
        return None
    every = forecast.accounts
    if line.role is Role.IN and line.stage == "socket":
        found = [each for each in every if each.role is Role.IN and each.stage == "socket"]
    elif line.role is Role.OUT and line.stage == "leads":
        found = [each for each in every if each.role is Role.OUT and each.stage in ("leads", "store")]
    elif line.role is Role.OUT and line.account == "good sparks":
        found = [each for each in every if each.role is Role.OUT and each.stage in ("spark", "metal")]
    elif line.role is Role.OUT and line.account == "shorts":
        found = [each for each in every if each.account == "shorts"]
    elif line.role is Role.OUT and line.stage in ("supply", "charger"):
        found = [each for each in every if each.role is Role.OUT and each.stage == line.stage]
    else:
        return None
    return sum(each.energy_j for each in found) / forecast.duration_s if found else None


def _doubts(lines: list[_Line], reading: CaptureReading) -> tuple[str, ...]:
    """What the account cannot say, in words."""
    doubts = [
        f"{line.stage}: {line.account} comes out at {line.energy.value:.3g} J, below zero by more than the "
        "instruments' uncertainty; check probe factors, shunt and meters"
        for line in lines
        if line.energy.value < -SIGNIFICANT * line.energy.uncertainty and line.role is Role.OUT
    ]
    if reading.calibration.measured_from == "voltage":
        doubts.append("without a current the leads' share cannot be told from the spark's")
    return tuple(doubts)
