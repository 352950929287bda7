"""Step-up generators for a wanted spark energy and rate."""

from collections.abc import Iterator

from gapwright.base.quantity import printed_quantity
from gapwright.study.grounds.assemble import Bench
from gapwright.study.sizing.sizing_parts import HEADROOM, coil_design, text
from gapwright.study.sizing.sizing_plan import (
    USUAL_VOLTAGE,
    Bears,
    Plan,
    own_lines,
    planned,
    ratings_of,
    switch_and_diode,
)
from gapwright.study.sizing.sizing_stores import (
    Candidate,
    Table,
    Unsuitable,
    coil_line,
    common,
    sensing,
    timers,
)
from gapwright.study.sizing.sizing_wish import Wish

PULL = 2.0
"""Peak current of the coil over the mean current of the supply, for a first guess."""


def step_ups(wish: Wish, made: Bench) -> Iterator[Candidate]:
    """A store charged from a lower supply through a coil.

    Raises
    ------
    Unsuitable
        If the supply is not well below the voltage, or too weak.
    """
    supply = made.rig.supply
    volts = wish.voltage_v or USUAL_VOLTAGE
    if volts <= 1.1 * supply.voltage:
        raise Unsuitable(
            f"a coil only steps up, and {printed_quantity(volts, 'V')} is not well above the supply's "
            f"{printed_quantity(supply.voltage, 'V')}"
        )
    yield from planned(built, wish, made, pull=PULL)


def built(plan: Plan, bears: Bears, wish: Wish, made: Bench) -> Candidate:
    """Candidate of a plan whose parts bear given currents."""
    supply, store = made.rig.supply, plan.store
    volts, henries, peak = store.volts, plan.henries(made.rig), plan.peak
    surge = HEADROOM * bears.coil
    coil = coil_design(henries, peak=surge, rms=peak, core=wish.core)
    off = max(henries * peak / (volts - supply.voltage), 1e-6)
    counted = timers(
        wish,
        {
            "least off-time": off,
            "longest on-time, after which the drive gives up": 3.0 * henries * peak / supply.voltage,
            "sample of the gap": made.rig.controller.sample_time,
        },
    )
    table, lines = common(store, made)
    rated_at = ratings_of(bears)
    divider, tapped = sensing(volts, wish)
    generator: Table = {
        "kind": "step-up",
        "peak_current": text(peak, "A"),
        "minimum_off_time": text(next((t.lasts_s for t in counted if t.name == "least off-time"), off), "s"),
        "voltage_limit": text(volts, "V"),
        "hysteresis": text(0.03 * volts, "V"),
        "coil": {
            "inductance": text(henries, "H"),
            "resistance": text(coil.resistance_ohm, "Ω"),
            "saturation_current": text(surge, "A"),
        },
        **switch_and_diode(rated_at),
        **table,
    }
    return Candidate(
        kind="step-up",
        generator=generator,
        lead_inductance=store.spec.inductance,
        parts=(coil_line(coil, surge), *own_lines(plan, rated_at), *lines, *tapped),
        coil=coil,
        divider=divider,
        timers=counted,
    )
