"""The command `leads`."""

from typing import Annotated

import typer

from gapwright.cli.options import Json

Form = Annotated[
    str, typer.Argument(metavar="FORM", help="How they are laid: straight, pair, twisted, coax or loop.")
]
Length = Annotated[
    str, typer.Option("--length", metavar="LENGTH", help="Length one way; of a loop its diameter.")
]
Diameter = Annotated[str, typer.Option("--diameter", metavar="LENGTH", help="Diameter of the copper.")]
Spacing = Annotated[
    str, typer.Option("--spacing", metavar="LENGTH", help="Axis to axis; of a coax the shield's inside.")
]
Lay = Annotated[str, typer.Option("--lay", metavar="LENGTH", help="Length of one turn of a twist.")]
Frequency = Annotated[
    str, typer.Option("--frequency", metavar="FREQUENCY", help="Frequency of the discharge's ring.")
]


def leads(
    form: Form,
    length: Length,
    diameter: Diameter,
    spacing: Spacing = "0 m",
    lay: Lay = "0 m",
    frequency: Frequency = "500 kHz",
    json: Json = False,
) -> None:
    """Inductance and resistance of leads from their geometry, for `[leads]` of a rig file."""
    from gapwright.app.documents import as_json
    from gapwright.base.quantity import printed_quantity, quantity
    from gapwright.cli.show.circuit import show_lines
    from gapwright.cli.show.paper import paper
    from gapwright.study.generator.lead_geometry import LeadGeometry, lead_figures, require_needed

    laid = LeadGeometry(
        form=form,
        length=quantity(length, "m", name="--length"),
        diameter=quantity(diameter, "m", name="--diameter"),
        spacing=quantity(spacing, "m", name="--spacing"),
        lay=quantity(lay, "m", name="--lay"),
        frequency=quantity(frequency, "Hz", name="--frequency"),
    )
    require_needed(laid)
    found = lead_figures(laid)
    if json:
        typer.echo(as_json(found))
        return
    halved = found.halved_inductance_h
    half = "too stout to tell" if halved is None else printed_quantity(halved, "H")
    ring = printed_quantity(found.frequency_hz, "Hz")
    show_lines(
        paper(),
        [
            ("inductance for a discharge, current on the skin", printed_quantity(found.inductance_h, "H")),
            ("the same with half the length", half),
            ("inductance for slow currents", printed_quantity(found.inductance_slow_h, "H")),
            (f"resistance at {ring}", printed_quantity(found.resistance_ohm, "Ω")),
            ("resistance for slow currents", printed_quantity(found.resistance_slow_ohm, "Ω")),
        ],
    )
