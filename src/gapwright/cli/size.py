"""The command `size`."""

from typing import Annotated

import typer

from gapwright.cli.options import Json, Quiet, Seed, WorkerCount

MEMBERS = 64

Energy = Annotated[
    str, typer.Option("--energy", metavar="ENERGY", help="Energy of a spark in the gap that is wanted.")
]
Rate = Annotated[str, typer.Option("--rate", metavar="FREQUENCY", help="Sparks a second that are wanted.")]
Voltage = Annotated[
    str | None, typer.Option("--voltage", metavar="VOLTAGE", help="Open voltage; 70 V if not given.")
]
Peak = Annotated[
    str | None, typer.Option("--peak", metavar="CURRENT", help="Largest peak current of a spark.")
]
Supply = Annotated[
    str | None, typer.Option("--supply", metavar="VOLTAGE", help="Supply in place of the file's.")
]
SupplyCurrent = Annotated[
    str | None, typer.Option("--supply-current", metavar="CURRENT", help="Its current limit.")
]
Kind = Annotated[
    list[str] | None,
    typer.Option(
        "--kind",
        metavar="KIND",
        help="Kind of generator: relaxation, step-up or flyback; all if not given.",
    ),
]
Like = Annotated[
    str | None,
    typer.Option(
        "--like", metavar="RIG", help="Rig file whose supply, leads, electrode and liquid are kept."
    ),
]
Write = Annotated[
    str | None,
    typer.Option(
        "--write", metavar="FILE", help="Write the rig file of the candidate taken; one that is there stays."
    ),
]
Take = Annotated[int, typer.Option("--take", metavar="N", help="Place in the ranking of that candidate.")]
Count = Annotated[
    int, typer.Option("--members", metavar="N", help="Draws of the tolerances for each candidate.")
]
Clock = Annotated[str, typer.Option("--clock", metavar="FREQUENCY", help="Clock of the controller.")]
CounterBits = Annotated[int, typer.Option("--counter-bits", metavar="N", help="Width of its counters.")]
Prescalers = Annotated[str, typer.Option("--prescalers", metavar="N,N", help="Prescalers of its counters.")]
ConverterBits = Annotated[int, typer.Option("--converter-bits", metavar="N", help="Bits of its converter.")]
Reference = Annotated[
    str, typer.Option("--reference", metavar="VOLTAGE", help="Full scale of its converter.")
]
CoreFactor = Annotated[
    str, typer.Option("--core-factor", metavar="INDUCTANCE", help="Inductance of one turn on the core.")
]
CoreArea = Annotated[str, typer.Option("--core-area", metavar="AREA", help="Cross-section of the core.")]
CoreFlux = Annotated[
    str, typer.Option("--core-flux", metavar="FLUX", help="Largest flux density of the core, such as 0.3 T.")
]


def size(
    energy: Energy,
    rate: Rate,
    voltage: Voltage = None,
    peak: Peak = None,
    supply: Supply = None,
    supply_current: SupplyCurrent = None,
    kind: Kind = None,
    like: Like = None,
    write: Write = None,
    take: Take = 1,
    members: Count = MEMBERS,
    clock: Clock = "16 MHz",
    counter_bits: CounterBits = 16,
    prescalers: Prescalers = "1,8,64,256,1024",
    converter_bits: ConverterBits = 10,
    reference: Reference = "5 V",
    core_factor: CoreFactor = "250 nH",
    core_area: CoreArea = "97 mm²",
    core_flux: CoreFlux = "0.3 T",
    seed: Seed = 0,
    workers: WorkerCount = None,
    json: Json = False,
    quiet: Quiet = False,
) -> None:
    """Propose generators for a spark energy and rate, verified over tolerances, down to a rig file."""
    from gapwright import wiring
    from gapwright.app.documents import as_json
    from gapwright.app.size import rig_file_of
    from gapwright.app.size_form import teslas, whole_numbers
    from gapwright.base.quantity import quantity
    from gapwright.cli.progress import Line
    from gapwright.cli.show.size import show_sizing
    from gapwright.shell.outputs import require_new_rig
    from gapwright.study.sizing.sizing_wish import KINDS, Core, Microcontroller, Wish

    def number(name: str, text: str | None, unit: str) -> float | None:
        return None if text is None else quantity(text, unit, name=name)

    wish = Wish(
        energy_j=quantity(energy, "J", name="--energy"),
        rate_hz=quantity(rate, "Hz", name="--rate"),
        voltage_v=number("--voltage", voltage, "V"),
        peak_a=number("--peak", peak, "A"),
        kinds=tuple(kind) if kind else KINDS,
        controller=Microcontroller(
            clock_hz=quantity(clock, "Hz", name="--clock"),
            counter_bits=counter_bits,
            prescalers=whole_numbers("--prescalers", prescalers),
            converter_bits=converter_bits,
            reference_v=quantity(reference, "V", name="--reference"),
        ),
        core=Core(
            factor_h=quantity(core_factor, "H", name="--core-factor"),
            area_m2=quantity(core_area, "m²", name="--core-area"),
            flux_t=teslas(core_flux),
        ),
    )
    if write is not None:
        require_new_rig(write)
    line = Line(quiet=quiet)
    try:
        found = wiring.size_rig(
            wish,
            like=like,
            supply=(number("--supply", supply, "V"), number("--supply-current", supply_current, "A")),
            effort=(members, seed, workers),
            progress=line,
        )
    finally:
        line.clear()
    if write is not None:
        wiring.write_whole(write, rig_file_of(found, rank=take))
        typer.echo(f"rig file written to {write}", err=True)
    if json:
        typer.echo(as_json(found))
    else:
        show_sizing(found)
