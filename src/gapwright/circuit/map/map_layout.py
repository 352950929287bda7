"""What a charge map is laid out over: charts, voltages, headings, and what of a circuit it can hold."""

from dataclasses import dataclass

import numpy as np

from gapwright.base.errors import InputRefused
from gapwright.base.units import Ohms
from gapwright.circuit.control.control import Control, FixedOnTime, NoControl, PeakCurrent
from gapwright.circuit.control.governor import Governed
from gapwright.circuit.control.ignition import Forced
from gapwright.circuit.engine import _happening_kernel as hk
from gapwright.circuit.engine.engine import Start, run
from gapwright.circuit.map import _section_kernel as sk
from gapwright.circuit.network.elements import Capacitor, Gap, Inductor, Resistor, VoltageSource
from gapwright.circuit.network.netlist import GROUND, Netlist

RETURN_POINTS = 7
"""Gap voltages kept of the way back from a discharge to a section."""
SLICE_SHARE = 0.125
"""Slice of a relaxation generator, as a share of its time constant."""
SUPPLY_FULL = 0.999
"""Share of its voltage from which on a supply's own capacitor counts as full."""
IDLE_SLICE = 2e-5
"""Slice of a step-up generator whose store is full. [s]"""
SETTLINGS = 50.0
"""Time constants of a coil and its damper after which an emptied coil has settled."""

Heading = tuple[str, str, str]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Layout:
    """What a map is worked out from."""

    netlist: Netlist
    control: NoControl | PeakCurrent
    charts: tuple[str, ...]
    kinds: tuple[int, ...]
    headings: tuple[Heading, ...]
    volts: hk.Numbers
    phases: int
    source_ohms: Ohms
    store: Capacitor
    lead: Inductor
    supply: Capacitor | None

    def index(self, name: str) -> int:
        """Place of a state."""
        return [part.name for part in self.netlist.states].index(name)


def headings_of(netlist: Netlist) -> tuple[Heading, ...]:
    """Headings of the ledger of a circuit, in order of its parts."""
    found: dict[Heading, None] = {}
    for part in netlist.elements:
        role = "in" if part.account in _given(netlist) else "out"
        if isinstance(part, Gap):
            for account in ("leakage", part.account, "short circuit"):
                found[part.stage, account, "out"] = None
        else:
            found[part.stage, part.account, role] = None
    return tuple(found)


def _given(netlist: Netlist) -> set[str]:
    return {
        part.account for part in netlist.elements if type(part).__name__ in {"VoltageSource", "CurrentSource"}
    }


def _lead(netlist: Netlist) -> Inductor:
    gap = netlist.gap
    if gap is None:
        raise InputRefused("a charge map must have a circuit with a gap, got none; add one")
    if gap.restrike_volts:
        raise InputRefused(
            "a charge map must have a gap that strikes one way, got one that strikes again when the ring "
            "turns; leave restrike_voltage out"
        )
    for part in netlist.of(Inductor):
        if gap.start in (part.start, part.end):
            return part
    raise InputRefused(
        "a charge map must have an inductance in the lead to the gap, got none; add the lead's"
    )


def _supply_store(netlist: Netlist) -> Capacitor | None:
    """Capacitor of a supply: across a source, through its regulator alone."""
    others = [part for part in netlist.of(Capacitor) if part.name != netlist.store]
    return others[0] if len(others) == 1 and others[0].stage == "supply" and others[0].end == GROUND else None


def _refuse_more_states(netlist: Netlist, lead: Inductor, supply: Capacitor | None) -> None:
    known = {netlist.store, netlist.coil, lead.name} | ({supply.name} if supply else set())
    if netlist.bends or netlist.couplings or netlist.storing or netlist.counters:
        raise InputRefused(
            "a charge map must have coils that neither saturate nor share a core, diodes without stored charge "
            "and no counters, got some; run the full engine for such a circuit"
        )
    for part in netlist.states:
        if part.name not in known:
            raise InputRefused(
                f"a charge map must have one store, one coil and one lead, got {part.name} besides; "
                "run the full engine for such a circuit"
            )
    if not netlist.store:
        raise InputRefused("a charge map must know the store, got none; name it in the circuit")


def _supply_volts(netlist: Netlist) -> float:
    return max((source.volts for source in netlist.of(VoltageSource)), default=0.0)


def _store(netlist: Netlist) -> Capacitor:
    part = netlist.element(netlist.store)
    if not isinstance(part, Capacitor):
        raise InputRefused(f"the store must be a capacitor, got {part.name}")
    return part


def _charging_ohms(netlist: Netlist) -> float:
    """Resistance through which a relaxation generator's store is charged."""
    return sum(part.ohms for part in netlist.of(Resistor) if part.stage == "supply")


def _ceiling(netlist: Netlist, control: NoControl | PeakCurrent) -> float:
    if isinstance(control, NoControl):
        return _supply_volts(netlist) * 1.002
    coil = netlist.element(netlist.coil)
    henries = coil.henries if isinstance(coil, Inductor) else 0.0
    farads = _store(netlist).farads
    return float(np.sqrt(control.voltage_limit**2 + 2.0 * henries * control.limit**2 / farads)) + 1.0


def _remainder(netlist: Netlist, control: Control, volts: float) -> float:
    """Lowest store voltage after a discharge from `volts`."""
    start = Start(values={netlist.store: volts} | _full_supply(netlist))
    whole = run(
        netlist, NoControl(), _longest_discharge(netlist), ignition=Forced(times=np.zeros(1)), initial=start
    )
    return min(0.0, whole.meters[netlist.store].lowest_voltage)


def _full_supply(netlist: Netlist) -> dict[str, float]:
    supply = _supply_store(netlist)
    return {supply.name: _supply_volts(netlist)} if supply else {}


def _longest_discharge(netlist: Netlist) -> float:
    """Time in which every discharge that ends by itself has ended."""
    lead, store, gap = _lead(netlist), _store(netlist), netlist.gap
    ohms = store.series_ohms + (gap.arc_ohms if gap else 0.0)
    ohms += sum(part.ohms for part in netlist.of(Resistor) if part.stage == "leads")
    return 20.0 * (ohms * store.farads + np.pi * float(np.sqrt(lead.henries * store.farads)))


def layout_of(netlist: Netlist, control: Control, *, nodes: int, phases: int) -> Layout:
    """Grid, charts and headings of a map; refuses circuits that have none."""
    if isinstance(control, FixedOnTime):
        raise InputRefused(
            "a charge map must have sections with one voltage, which a fixed on-time has not (the coil current walks "
            "up); use the full engine, or drive the generator by a current limit"
        )
    if isinstance(control, Governed):
        raise InputRefused(
            "a charge map must have a generator that charges by itself or by one current limit, got governors; "
            "run the full engine for such a circuit"
        )
    if nodes < 16 or phases < 3:
        raise InputRefused(f"a charge map must have at least 16 nodes and 3 phases, got {nodes} and {phases}")
    lead, supply = _lead(netlist), _supply_store(netlist)
    _refuse_more_states(netlist, lead, supply)
    top = _ceiling(netlist, control)
    bottom = 1.05 * _remainder(netlist, control, top) - 0.01 * top
    plain = isinstance(control, NoControl)
    return Layout(
        netlist=netlist,
        control=control,
        charts=("charging",) if plain else ("off", "on", "drain", "idle", "begin"),
        kinds=(sk.CHARGING,) if plain else (sk.OFF, sk.ON, sk.DRAIN, sk.REST, sk.BEGIN),
        headings=headings_of(netlist),
        volts=np.linspace(bottom, top, nodes),
        phases=phases,
        source_ohms=_charging_ohms(netlist) if plain else _converter_ohms(netlist, control),
        store=_store(netlist),
        lead=lead,
        supply=supply,
    )


def _converter_ohms(netlist: Netlist, control: Control) -> float:
    """Resistance that would take all a step-up generator can give at its voltage limit."""
    if not isinstance(control, PeakCurrent):
        return 1.0
    power = 0.5 * _supply_volts(netlist) * control.limit
    return control.voltage_limit**2 / power


def _slice(layout: Layout) -> float:
    store = _store(layout.netlist).farads
    if isinstance(layout.control, NoControl):
        return SLICE_SHARE * store * layout.source_ohms
    return IDLE_SLICE
