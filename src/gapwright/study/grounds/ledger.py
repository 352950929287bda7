"""Where every joule of one drilling went, from the socket to the chip."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gapwright.base.errors import BalanceFault
from gapwright.base.units import CubicMetres, Joules, Number, Seconds
from gapwright.circuit.map.charge_map import Meter
from gapwright.facts.heat_content import floor_enthalpy_per_volume
from gapwright.rig.generator import Relaxation
from gapwright.rig.rig import Rig
from gapwright.study.grounds.assemble import Bench
from gapwright.study.grounds.outcome import Account, Ledger, Role

LARGEST_BALANCE_ERROR = 1e-6
"""Above this an account that does not close is a fault of ours."""

CHARGER = frozenset({"charging resistor", "coil", "transistor", "diode"})
"""Accounts of the circuit's supply stage that we show as a stage of their own."""
DISCHARGE, LEAKAGE = "discharge", "leakage"
AUXILIARIES = "auxiliaries"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Metered:
    """Energies of one drilling as the charge map's meters booked them."""

    duration: Seconds
    meters: Sequence[Meter]
    sparking: NDArray[np.float64]
    """(meters,) energies while the gap was not shorted [J]."""
    shorted: NDArray[np.float64]
    """(meters,) energies while it was [J]."""
    stored: Joules
    removed: CubicMetres
    absorbed: Number
    """Share of the discharge's energy that entered the workpiece."""
    electrode_share: Number
    """Share that entered the electrode."""


@dataclass(frozen=True, slots=True)
class Line:
    """A ledger line before its share is known."""

    stage: str
    account: str
    role: Role
    energy: Joules


def ledger(made: Bench, metered: Metered) -> Ledger:
    """Energy account of one drilling, closing to a stated error.

    Parameters
    ----------
    made
        Rig and job with their facts.
    metered
        What the drilling's meters read.

    Raises
    ------
    BalanceFault
        If the account fails to close within `LARGEST_BALANCE_ERROR`.
    """
    lines = [*_upstream(made, metered), *_circuit_lines(metered), *_spark_lines(made, metered)]
    lines += _auxiliary_lines(made, metered.duration)
    given = sum(line.energy for line in lines if line.role is Role.IN)
    taken = sum(line.energy for line in lines if line.role is Role.OUT)
    stored = sum(line.energy for line in lines if line.role is Role.STORED)
    error = (given - taken - stored) / given if given > 0.0 else 0.0
    if abs(error) > LARGEST_BALANCE_ERROR:
        raise BalanceFault(
            f"the energy account must close within {LARGEST_BALANCE_ERROR:g}, got {error:.3g}; "
            f"this is a fault of gapwright, please report it with rig and job"
        )
    return Ledger(
        duration_s=metered.duration,
        balance_error=error,
        accounts=tuple(
            Account(
                stage=line.stage,
                account=line.account,
                role=line.role,
                energy_j=line.energy,
                share=line.energy / given if given > 0.0 else 0.0,
            )
            for line in lines
        ),
    )


def booked(metered: Metered, account: str) -> Joules:
    """Energy under a heading of the generator's meters over the drilling, shorts included."""
    total = metered.sparking + metered.shorted
    return float(sum(e for m, e in zip(metered.meters, total, strict=True) if m.account == account))


def drawn_from_supply(metered: Metered) -> Joules:
    """Energy that the generator drew from the supply's output over the drilling."""
    total = metered.sparking + metered.shorted
    return float(sum(e for m, e in zip(metered.meters, total, strict=True) if m.role == "in"))


def _upstream(made: Bench, metered: Metered) -> list[Line]:
    """Socket and supply: what came in, what the supply itself kept."""
    supply, generator = made.rig.supply, made.rig.generator
    control = 0.0 if isinstance(generator, Relaxation) else generator.control_power * metered.duration
    output = drawn_from_supply(metered) + control
    conversion = output * (1.0 / supply.efficiency - 1.0)
    idle = supply.idle_power * metered.duration
    lines = [
        Line("socket", "from the socket", Role.IN, output + conversion + idle),
        Line("supply", "conversion", Role.OUT, conversion),
        Line("supply", "idling", Role.OUT, idle),
    ]
    if control > 0.0:
        lines.append(Line("charger", "its own control", Role.OUT, control))
    return lines


def _circuit_lines(metered: Metered) -> list[Line]:
    """Losses of the generator and leads; what a shorted gap cost stands on one line."""
    found: list[Line] = []
    short = 0.0
    for meter, sparking, shorted in zip(metered.meters, metered.sparking, metered.shorted, strict=True):
        if meter.role == "in":
            continue
        short += float(shorted)
        if meter.account == DISCHARGE:
            continue
        stage = "charger" if meter.account in CHARGER else meter.stage
        found.append(Line("gap" if stage == "spark" else stage, meter.account, Role.OUT, float(sparking)))
    order = ("supply", "charger", "store", "leads", "gap")
    found.append(Line("gap", "shorts", Role.OUT, short))
    found.append(Line("store", "still stored", Role.STORED, metered.stored))
    shown = [line for line in found if line.energy != 0.0]
    return sorted(shown, key=lambda line: order.index(line.stage))


def _spark_lines(made: Bench, metered: Metered) -> list[Line]:
    """The discharge, split into workpiece, electrode, liquid and debris."""
    burnt = float(
        sum(e for m, e in zip(metered.meters, metered.sparking, strict=True) if m.account == DISCHARGE)
    )
    workpiece = metered.absorbed * burnt
    electrode = min(metered.electrode_share, 1.0 - metered.absorbed) * burnt
    floor = floor_enthalpy_per_volume(made.workpiece).value * metered.removed
    return [
        Line("spark", "electrode", Role.OUT, electrode),
        Line(
            "spark",
            "air and debris" if made.dry else "liquid and debris",
            Role.OUT,
            burnt - workpiece - electrode,
        ),
        Line("metal", "workpiece", Role.OUT, workpiece),
        Line("metal", "melting the removed metal", Role.OF_WHICH, floor),
    ]


def auxiliary_powers(rig: Rig) -> dict[str, float]:
    """Power in watts of each part of a rig that runs beside the sparks, those without any left out."""
    aux = rig.auxiliaries
    powers = {
        "spindle": aux.spindle_power,
        "machine": aux.machine_power,
        "pump": aux.pump_power,
        "controller": aux.controller_power,
    }
    return {name: power for name, power in powers.items() if power > 0.0}


def _auxiliary_lines(made: Bench, duration: Seconds) -> list[Line]:
    """What else draws power, beside the flow: in and out alike."""
    drawn = {name: power * duration for name, power in auxiliary_powers(made.rig).items()}
    if not drawn:
        return []
    return [
        Line(AUXILIARIES, "from the socket", Role.IN, sum(drawn.values())),
        *(Line(AUXILIARIES, name, Role.OUT, energy) for name, energy in drawn.items()),
    ]
