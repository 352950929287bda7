"""What a run of a circuit has to tell: accounts, meters, sparks, waveforms."""

from collections import defaultdict
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gapwright.base.units import ActionIntegral, Amperes, Coulombs, Joules, Number, Seconds, Volts
from gapwright.circuit.engine import _governor_kernel as gk
from gapwright.circuit.engine import _happening_kernel as hk
from gapwright.circuit.engine.edges import EdgeLoss
from gapwright.circuit.engine.mixes import node_mix, part_mix
from gapwright.circuit.engine.mode_times import ModeTime, mode_times
from gapwright.circuit.engine.modes import ModeBook
from gapwright.circuit.engine.powers import booking_of
from gapwright.circuit.engine.waveform import Trace, Waveform, drawn
from gapwright.circuit.network.mna import Rows
from gapwright.circuit.network.netlist import Netlist
from gapwright.circuit.network.states import energy_in, values_in

MODAL_LIMIT = 1e-9
LADDER_LIMIT = 1e-6
"""Largest balance error of a run in closed form, and of one that needed the ladder."""

SPARK_FIELDS = (
    "time_s",
    "breakdown_v",
    "peak_a",
    "duration_s",
    "charge_c",
    "energy_j",
    "action_a2s",
    "store_v",
    "ended",
)
SPARK_RECORD = np.dtype([(name, np.float64) for name in SPARK_FIELDS[:-1]] + [("ended", np.bool_)])
"""One discharge; `store_v` is the voltage left on the store, `ended` is false while it burns on."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Account:
    """Energy booked under one heading of the ledger; role "in" or "out"."""

    stage: str
    account: str
    role: str
    joules: Joules


@dataclass(frozen=True, slots=True, kw_only=True)
class PartMeter:
    """What one part gave or took during a run, and its peaks."""

    name: str
    energy: Joules
    """Taken from the rest of the circuit, what it stores included."""
    charge: Coulombs
    """From start to end."""
    action: ActionIntegral
    highest_current: Amperes
    lowest_current: Amperes
    highest_voltage: Volts
    lowest_voltage: Volts


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Run:
    """Result of a run."""

    netlist: Netlist
    duration: Seconds
    accounts: tuple[Account, ...]
    meters: dict[str, PartMeter]
    stored_before: Joules
    stored_after: Joules
    balance_error: Number
    balance_limit: Number
    modal_share: Number
    """Share of the time spent in modes carried in closed form."""
    steps: int
    sparks: NDArray[np.void]
    """Discharges as records of `SPARK_RECORD`."""
    final: dict[str, float]
    """Voltage of each capacitor and current of each inductor at the end."""
    trace: Trace
    phase_share: dict[str, float]
    """Share of the time that each governor spent in each of its phases, by "governor/phase"."""
    modes: tuple[ModeTime, ...]
    """Modes that the run went through, the longest first."""
    edges: tuple[EdgeLoss, ...] = ()
    """Losses beside the account, where their data were given."""

    def joules(self, role: str, account: str = "") -> Joules:
        """Energy of all headings of a role, or of one account."""
        return sum(a.joules for a in self.accounts if a.role == role and account in ("", a.account))

    def waveform(
        self, quantity: str, part: str, *, start: Seconds, stop: Seconds, slices: int = 1000
    ) -> Waveform:
        """Waveform of a part's "volts" or "amperes" over a stretch that was recorded."""
        return drawn(self.trace, part_mix(self.netlist, quantity, part), np.linspace(start, stop, slices + 1))

    def node_waveform(self, node: str, *, start: Seconds, stop: Seconds, slices: int = 1000) -> Waveform:
        """Waveform of a node's voltage against ground over a stretch that was recorded."""
        return drawn(self.trace, node_mix(self.netlist, node), np.linspace(start, stop, slices + 1))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Metered:
    """Integrals over the time spent in each mode."""

    products: Rows
    """(3, modes, parts) of the products of each part's voltage and current, by `Product`."""
    charges: Rows
    """(parts,) of each part's current, over all modes."""
    seconds: Rows
    """(modes,) time spent in each."""


def _metered(book: ModeBook) -> _Metered:
    volts = np.array([solved.volts for solved in book.solved])
    amperes = np.array([solved.amperes for solved in book.solved])
    integrals = book.metered()
    from_volts, from_amperes = volts @ integrals, amperes @ integrals
    return _Metered(
        products=np.array([from_volts * amperes, from_amperes * amperes, from_volts * volts]).sum(axis=3),
        charges=from_amperes[:, :, -1].sum(axis=0),
        seconds=integrals[:, -1, -1],
    )


def _accounts(book: ModeBook, products: Rows) -> tuple[Account, ...]:
    totals: dict[tuple[str, str, str], float] = defaultdict(float)
    spent = products.tolist()
    for slot, mode in enumerate(book.modes):
        for k, part in enumerate(book.netlist.elements):
            booking = booking_of(part, mode.gap)
            if booking is not None:
                account, role, product, factor = booking
                totals[part.stage, account, role] += factor * spent[product][slot][k]
    return tuple(Account(stage=s, account=a, role=r, joules=e) for (s, a, r), e in totals.items())


def _meters(names: tuple[str, ...], metered: _Metered, peaks: Rows) -> dict[str, PartMeter]:
    n = len(names)
    energy, action = metered.products[:2].sum(axis=1).tolist()
    charge, (highest, lowest) = metered.charges.tolist(), peaks.tolist()
    return {
        name: PartMeter(
            name=name,
            energy=energy[k],
            charge=charge[k],
            action=action[k],
            highest_current=highest[k],
            lowest_current=lowest[k],
            highest_voltage=highest[n + k],
            lowest_voltage=lowest[n + k],
        )
        for k, name in enumerate(names)
    }


def gathered(
    book: ModeBook, state: hk.State, first: Rows, sparks: Rows, trace: Trace, phases: tuple[str, ...]
) -> Run:
    """Read all meters of a finished run; `phases` are the labels of the governors' phases."""
    metered = _metered(book)
    accounts = _accounts(book, metered.products)
    taken = sum(a.joules for a in accounts if a.role == "in")
    given = sum(a.joules for a in accounts if a.role == "out")
    before, after = energy_in(book.netlist, first), energy_in(book.netlist, state.x)
    whole = max(abs(taken), before)
    duration = float(state.floats[hk.T])
    ladder = float(state.floats[hk.T_LADDER])
    record = np.zeros(len(sparks), dtype=SPARK_RECORD)
    for k, name in enumerate(SPARK_FIELDS):
        record[name] = sparks[:, k]
    return Run(
        netlist=book.netlist,
        duration=duration,
        accounts=accounts,
        meters=_meters(book.netlist.names, metered, state.peaks),
        stored_before=before,
        stored_after=after,
        balance_error=(taken - given - (after - before)) / whole if whole else 0.0,
        balance_limit=LADDER_LIMIT if state.ints[hk.LADDER_STEPS] else MODAL_LIMIT,
        modal_share=1.0 - ladder / duration if duration else 1.0,
        steps=int(state.ints[hk.STEPS]),
        sparks=record,
        final=values_in(book.netlist, state.x),
        trace=trace,
        phase_share=_phase_share(state, phases),
        modes=mode_times(book, metered.seconds, duration),
    )


def _phase_share(state: hk.State, phases: tuple[str, ...]) -> dict[str, float]:
    now, stays = float(state.floats[hk.T]), state.stays.copy()
    for phase, entered in zip(state.current, state.clock[:, gk.ENTERED], strict=True):
        stays[phase] += now - entered
    return {label: float(stay / now) if now else 0.0 for label, stay in zip(phases, stays, strict=True)}
