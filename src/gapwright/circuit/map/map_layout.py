"""What a charge map is laid out over: charts, voltages, headings, and what of a circuit it can hold."""

from dataclasses import dataclass

import numpy as np

from gapwright.base.errors import InputRefused
from gapwright.base.units import Ohms
from gapwright.circuit.control.control import Control, FixedOnTime, NoControl, PeakCurrent
from gapwright.circuit.control.governor import Governed
from gapwright.circuit.control.ignition import Forced
from gapwright.circuit.control.spark_loop import SUPPLY
from gapwright.circuit.engine import _happening_kernel as hk
from gapwright.circuit.engine.engine import Start, run
from gapwright.circuit.map import _section_kernel as sk
from gapwright.circuit.map.map_headings import Heading, headings_of
from gapwright.circuit.map.map_plan import Plan, plan_of
from gapwright.circuit.network.elements import (
    Capacitor,
    CurrentSource,
    Inductor,
    Resistor,
    VoltageSource,
)
from gapwright.circuit.network.netlist import GROUND, Netlist

NODES, FEW_NODES = 161, 81
"""Store voltages of a map, where no number is given; few where a kept current hardly hangs on them."""
PHASES, MANY_PHASES = 9, 17
"""Points of a stretch at which it is known; many where a whole cycle of a charger is one stretch."""
RETURN_POINTS = 7
"""Gap voltages kept of the way back from a discharge to a section."""
SLICE_SHARE = 0.125
"""Slice of a relaxation generator, as a share of its time constant."""
SUPPLY_FULL = 0.999
"""Share of its voltage from which on a supply's own capacitor counts as full."""
LARGEST_LEAK = 3.0
"""Largest leak, where none is given, as a multiple of what would take half of a generator's charging current."""
IDLE_SLICE = 2e-5
"""Slice of a step-up generator whose store is full. [s]"""
BUS_SLICE = 1e-4
"""Slice of a rest between trains of pulses. [s]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Layout:
    """What a map is worked out from."""

    netlist: Netlist
    control: NoControl | PeakCurrent | Governed
    plan: Plan | None
    """Sections under governors."""
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

    @property
    def bus(self) -> bool:
        """Whether pulses are taken from a store across the supply."""
        return self.plan is not None and self.plan.bus

    @property
    def carried(self) -> tuple[int, ...]:
        """Places of the states whose energy is carried from section to section: store and coils."""
        if self.plan is None:
            names = {self.netlist.store, self.netlist.coil}
        else:
            left = {self.lead.name} | self.beside
            names = {part.name for part in self.netlist.states} - left
        return tuple(k for k, part in enumerate(self.netlist.states) if part.name in names)

    @property
    def beside(self) -> set[str]:
        """Capacitors that are no store; those of a bus share its voltage and are carried with it."""
        if self.bus:
            return set()
        return {part.name for part in self.netlist.of(Capacitor) if part.name != self.netlist.store}


def lead_of(netlist: Netlist) -> Inductor:
    """Inductance beside the gap.

    Raises
    ------
    InputRefused
        If there is none, or the gap strikes both ways.
    """
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
    fed = {
        node for kind in (VoltageSource, CurrentSource) for s in netlist.of(kind) for node in (s.start, s.end)
    }
    for part in netlist.of(Capacitor):
        if part.name != netlist.store and part.stage == "supply" and part.end == GROUND and part.start in fed:
            return part
    return None


def _refuse_more_states(
    netlist: Netlist, lead: Inductor, supply: Capacitor | None, plan: Plan | None
) -> None:
    if not netlist.store:
        raise InputRefused("a charge map must know the store, got none; name it in the circuit")
    if netlist.bends or netlist.storing:
        raise InputRefused(
            "a charge map must have coils that do not saturate and diodes without stored charge, got some; "
            "run the full engine for such a circuit"
        )
    if plan is not None:
        return
    known = {netlist.store, netlist.coil, lead.name} | ({supply.name} if supply else set())
    if netlist.couplings or netlist.counters:
        raise InputRefused(
            "a charge map of a circuit without governors must have coils that share no core and no counters, "
            "got some; run the full engine for such a circuit"
        )
    for part in netlist.states:
        if part.name not in known:
            raise InputRefused(
                f"a charge map must have one store, one coil and one lead, got {part.name} besides; "
                "run the full engine for such a circuit"
            )


def supply_volts(netlist: Netlist) -> float:
    """Voltage of the supply; the highest of all sources where none is called so."""
    sources = {source.name: source.volts for source in netlist.of(VoltageSource)}
    return sources.get(SUPPLY, max(sources.values(), default=0.0))


def _store(netlist: Netlist) -> Capacitor:
    part = netlist.element(netlist.store)
    if not isinstance(part, Capacitor):
        raise InputRefused(f"the store must be a capacitor, got {part.name}")
    return part


def _charging_ohms(netlist: Netlist) -> float:
    """Resistance through which a relaxation generator's store is charged."""
    return sum(part.ohms for part in netlist.of(Resistor) if part.stage == "supply")


def _ceiling(netlist: Netlist, control: Control, plan: Plan | None) -> float:
    """Highest store voltage that can be met."""
    coil = netlist.element(netlist.coil) if netlist.coil else None
    henries = coil.henries if isinstance(coil, Inductor) else 0.0
    if isinstance(control, PeakCurrent):
        most, amperes = control.voltage_limit, control.limit
    elif plan is not None and plan.top is not None:
        most, amperes = plan.top, plan.coil_limit
    else:
        return supply_volts(netlist) * 1.002
    return float(np.sqrt(most**2 + 2.0 * henries * amperes**2 / _store(netlist).farads)) + 1.0


def _remainder(netlist: Netlist, plan: Plan | None, volts: float) -> float:
    """Lowest store voltage after a discharge from `volts`."""
    if plan is not None and plan.bus:
        return 0.0
    start = Start(
        values={netlist.store: volts} | _full_supply(netlist),
        phases=plan.charts[plan.full].begins if plan is not None else {},
    )
    control = NoControl() if plan is None else plan.control
    once = Forced(times=np.zeros(1))
    whole = run(netlist, control, longest_discharge(netlist), ignition=once, initial=start)
    return min(0.0, whole.meters[netlist.store].lowest_voltage)


def _full_supply(netlist: Netlist) -> dict[str, float]:
    supply = _supply_store(netlist)
    return {supply.name: supply_volts(netlist)} if supply else {}


def longest_discharge(netlist: Netlist) -> float:
    """Time in which every discharge that ends by itself has ended."""
    lead, store, gap = lead_of(netlist), _store(netlist), netlist.gap
    ohms = store.series_ohms + (gap.arc_ohms if gap else 0.0)
    ohms += sum(part.ohms for part in netlist.of(Resistor) if part.stage == "leads")
    whole = 20.0 * (ohms * store.farads + np.pi * float(np.sqrt(lead.henries * store.farads)))
    return float(whole)


def layout_of(netlist: Netlist, control: Control, *, nodes: int | None, phases: int | None) -> Layout:
    """Grid, charts and headings of a map; refuses circuits that have none."""
    if isinstance(control, FixedOnTime):
        raise InputRefused(
            "a charge map must have sections with one voltage, which a fixed on-time has not (the coil current walks "
            "up); use the full engine, or drive the generator by a current limit"
        )
    plan = plan_of(netlist, control) if isinstance(control, Governed) else None
    if nodes is None:
        nodes = FEW_NODES if plan is not None and plan.averaged else NODES
    if phases is None:
        phases = MANY_PHASES if plan is not None and plan.full >= 0 else PHASES
    if nodes < 16 or phases < 3:
        raise InputRefused(f"a charge map must have at least 16 nodes and 3 phases, got {nodes} and {phases}")
    lead, supply = lead_of(netlist), _supply_store(netlist)
    _refuse_more_states(netlist, lead, supply, plan)
    top = _ceiling(netlist, control, plan)
    bottom = 1.05 * _remainder(netlist, plan, top) - 0.01 * top
    charts, kinds = _charts(control, plan)
    return Layout(
        netlist=netlist,
        control=control if plan is None else plan.control,
        plan=plan,
        charts=charts,
        kinds=kinds,
        headings=headings_of(netlist),
        volts=np.linspace(bottom, top, nodes),
        phases=phases,
        source_ohms=_source_ohms(netlist, control, plan),
        store=_store(netlist),
        lead=lead,
        supply=supply if plan is None or not plan.bus else None,
    )


def _charts(control: Control, plan: Plan | None) -> tuple[tuple[str, ...], tuple[int, ...]]:
    """Names and kinds of the charts."""
    if plan is not None:
        return tuple(chart.name for chart in plan.charts), tuple(chart.kind for chart in plan.charts)
    if isinstance(control, NoControl):
        return ("charging",), (sk.CHARGING,)
    return ("off", "on", "drain", "idle", "begin"), (sk.OFF, sk.ON, sk.DRAIN, sk.REST, sk.BEGIN)


def _source_ohms(netlist: Netlist, control: Control, plan: Plan | None) -> float:
    """Resistance that would take half of what the generator can give, by which leaks are measured."""
    volts = supply_volts(netlist)
    if isinstance(control, PeakCurrent):
        return float(control.voltage_limit**2 / (0.5 * volts * control.limit))
    if plan is not None and plan.top is not None:
        return float(plan.top**2 / (0.5 * volts * plan.coil_limit))
    if plan is not None and plan.bus:
        highest = max(source.volts for source in netlist.of(VoltageSource))
        return float(LARGEST_LEAK * highest / plan.leak_limit)
    ohms = _charging_ohms(netlist)
    if ohms <= 0.0:
        raise InputRefused(
            "a charge map must have a store that is charged through a resistor of the stage supply, got none; "
            "state the resistor's stage"
        )
    return ohms


def slice_of(layout: Layout) -> float:
    """Time of a slice of a chart that is no stretch between two acts of a control."""
    if layout.bus:
        return BUS_SLICE
    if layout.kinds[0] in (sk.CHARGING, sk.FREE):
        return SLICE_SHARE * _store(layout.netlist).farads * layout.source_ohms
    return IDLE_SLICE
