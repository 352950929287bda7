"""Where the measured joules went: from meter readings and a capture, each stage with its uncertainty.

What no instrument shows is a difference of two that do; its uncertainty says
how much the difference is worth. Beside each stage stands the forecast's.
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from gapwright.capture import classify as cl
from gapwright.capture.reading import CaptureReading
from gapwright.capture.waveform import Capture
from gapwright.rig.rig import Rig
from gapwright.study.captures.measured_quantity import Measured, measured
from gapwright.study.captures.meter_readings import NO_READINGS, MeterReadings
from gapwright.study.grounds.ledger import AUXILIARIES, auxiliary_powers
from gapwright.study.grounds.outcome import Account, Ledger, Role

SCHEMA = 1
LineFrom = Literal["measured", "difference", "rig file"]
SIGNIFICANT = 2.0
"""A loss below zero by more than so many of its uncertainties means that the instruments disagree."""
SUPPLY_FILE_UNCERTAINTY = 0.05
"""Standard uncertainty of a supply's efficiency and idle power from the rig file, as a share. From memory."""
ALL_AUXILIARIES = "all of them"
AUXILIARY_FILE_UNCERTAINTY = 0.2
"""The same for the power of what runs beside it. From memory."""


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
    if upstream or readings.auxiliary_power is not None:
        lines += _auxiliaries(rig, readings, seconds)
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
    power = _supply_output(readings)
    if power is None:
        return []
    output = power.times(seconds)
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


def _supply_output(readings: MeterReadings) -> Measured | None:
    """Mean power out of the supply; None where it was not measured."""
    v, i = readings.supply_voltage_uncertainty, readings.supply_current_uncertainty
    if readings.supply_power is not None:
        watts, scatter = readings.supply_power, readings.supply_power_scatter
        shares = (("supply voltage", v), ("supply current", i), ("supply scatter", scatter))
        return Measured(watts, tuple((source, share * watts) for source, share in shares))
    if readings.supply_voltage is None or readings.supply_current is None:
        return None
    volts = _by_share(readings.supply_voltage, v, "supply voltage")
    return volts * _by_share(readings.supply_current, i, "supply current")


def _auxiliaries(rig: Rig, readings: MeterReadings, seconds: float) -> list[_Line]:
    """What runs beside the flow, in and out alike: as measured, else as the rig file says."""
    if readings.auxiliary_power is not None:
        shown = readings.auxiliary_power, readings.socket_power_uncertainty
        how: LineFrom = "measured"
        powers = {ALL_AUXILIARIES: _by_share(*shown, "auxiliary power")}
    else:
        how, share = "rig file", AUXILIARY_FILE_UNCERTAINTY
        powers = {name: _by_share(watts, share, name) for name, watts in auxiliary_powers(rig).items()}
    if not powers:
        return []
    drawn = {name: power.times(seconds) for name, power in powers.items()}
    return [
        _Line(AUXILIARIES, "from the socket", Role.IN, _total(list(drawn.values())), how),
        *(_Line(AUXILIARIES, name, Role.OUT, energy, how) for name, energy in drawn.items()),
    ]


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
        energy = energy + Measured(0.0, (("voltage zero", reading.zero_share * joules),))
        if reading.calibration.measured_from == "current":
            energy = energy + Measured(0.0, (("current gain", readings.current_gain_uncertainty * joules),))
            energy = energy + Measured(0.0, (("skew", reading.skew_share * joules),))
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
    elif line.stage == AUXILIARIES and (line.role is Role.IN or line.account != ALL_AUXILIARIES):
        found = [each for each in every if (each.stage, each.account) == (line.stage, line.account)]
    elif line.role is Role.OUT and line.stage in ("supply", "charger", AUXILIARIES):
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
