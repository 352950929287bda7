"""Relaxation generators for a wanted spark energy and rate."""

from collections.abc import Iterator
from math import log

from gapwright.base.quantity import printed_quantity
from gapwright.base.units import Ohms, Watts
from gapwright.facts.series import neighbours
from gapwright.study.grounds.assemble import Bench
from gapwright.study.sizing.sizing_parts import HEADROOM, text
from gapwright.study.sizing.sizing_stores import (
    Candidate,
    PartLine,
    Store,
    Table,
    Unsuitable,
    common,
    sensing,
    stores,
    timers,
)
from gapwright.study.sizing.sizing_wish import Wish


def relaxations(wish: Wish, made: Bench) -> Iterator[Candidate]:
    """A store charged through a resistor from the supply itself."""
    supply = made.rig.supply
    if wish.voltage_v is not None and abs(wish.voltage_v / supply.voltage - 1.0) > 0.05:
        raise Unsuitable(
            f"a resistor charges to the supply's {printed_quantity(supply.voltage, 'V')}, not to "
            f"{printed_quantity(wish.voltage_v, 'V')}; set the supply to that, or step up"
        )
    for store in stores(wish, made, supply.voltage):
        rise = log((supply.voltage - store.left) / (supply.voltage - store.spec.strikes))
        exact: Ohms = 1.0 / (wish.rate_hz * store.farads * rise)
        for ohms in dict.fromkeys(neighbours(exact, "E12")):
            yield _relaxation(ohms, store, wish, made)


def _relaxation(ohms: Ohms, store: Store, wish: Wish, made: Bench) -> Candidate:
    supply = made.rig.supply
    lasting: Watts = min(supply.voltage / ohms, supply.current_limit) ** 2 * ohms
    power = neighbours(HEADROOM * lasting, "R10")[1]
    table, lines = common(store, made)
    resistor = PartLine(
        part="charging resistor",
        value=f"resistor {printed_quantity(ohms, 'Ω')} ±5 %",
        bears=f"{printed_quantity(power, 'W')}: a shorted gap puts {printed_quantity(lasting, 'W')} into it",
    )
    generator: Table = {
        "kind": "relaxation",
        "resistor": {"resistance": text(ohms, "Ω"), "power_rating": text(power, "W")},
        **table,
    }
    divider, tapped = sensing(supply.voltage, wish)
    return Candidate(
        kind="relaxation",
        generator=generator,
        lead_inductance=store.spec.inductance,
        parts=(resistor, *lines, *tapped),
        coil=None,
        divider=divider,
        timers=timers(wish, {"sample of the gap": made.rig.controller.sample_time}),
    )
