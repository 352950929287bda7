"""A generator alone as text: what it delivers, what its parts carry, where its joules go."""

from rich.console import Console
from rich.text import Text

from gapwright.app.wording import quantity_text
from gapwright.cli.show.ledger import show_ledger
from gapwright.cli.show.paper import heading, paper, plain_table
from gapwright.study.generator_alone import GeneratorAlone, Pulse


def show_circuit(found: GeneratorAlone) -> None:
    """Print everything but the waveforms, which --json holds."""
    console = paper()
    console.print(Text(f"{found.rig}: {found.kind} generator alone", style="bold"))
    show_lines(console, filling_lines(found))
    console.print()
    console.print(heading(f"Sparking whenever the gap reaches {quantity_text(found.strikes_at_v, 'V')}"))
    if found.pulse is None:
        console.print("  no discharge ended within the run")
    else:
        show_lines(console, pulse_lines(found.pulse))
    console.print()
    show_ratings(console, found)
    console.print()
    show_meters(console, found)
    console.print()
    show_ledger(console, found.ledger, of="what is drawn from the supply")


def show_lines(console: Console, lines: list[tuple[str, str]]) -> None:
    """Names and values under each other."""
    table = plain_table(("", "left"), ("", "right"))
    for name, value in lines:
        table.add_row(name, value)
    console.print(table)


def filling_lines(found: GeneratorAlone) -> list[tuple[str, str]]:
    """What the generator does with the gap open, and with it shorted."""
    return [
        ("open voltage, at its peak", quantity_text(found.peak_open_voltage_v, "V")),
        ("time to fill the store to 95 %", quantity_text(found.fill_time_s, "s")),
        ("energy of the full store", quantity_text(found.stored_energy_j, "J")),
        ("current into a lasting short", quantity_text(found.short_circuit_current_a, "A")),
    ]


def pulse_lines(pulse: Pulse) -> list[tuple[str, str]]:
    """Means over the discharges."""
    return [
        ("discharges a second", quantity_text(pulse.rate_hz, "Hz")),
        ("energy in the gap", quantity_text(pulse.energy_j, "J")),
        ("peak current", quantity_text(pulse.peak_current_a, "A")),
        ("duration", quantity_text(pulse.duration_s, "s")),
        ("charge", quantity_text(pulse.charge_c, "C")),
        ("left on the store", quantity_text(pulse.left_voltage_v, "V")),
    ]


def show_ratings(console: Console, found: GeneratorAlone) -> None:
    """Ratings, those that are exceeded marked in words."""
    console.print(heading("Ratings"))
    columns = (("part", "left"), ("quantity", "left"), ("found", "right"), ("allowed", "right"), ("", "left"))
    table = plain_table(*columns, heading=True)
    for line in found.ratings:
        mark = Text("ok") if line.within else Text("TOO MUCH", style="bold red")
        values = (quantity_text(line.found, line.unit), quantity_text(line.allowed, line.unit))
        table.add_row(line.part, line.quantity, *values, mark)
    console.print(table)


def show_meters(console: Console, found: GeneratorAlone) -> None:
    """Currents, voltages and power of each part while sparking."""
    console.print(heading("What the parts carry while sparking"))
    names = ("part", "r.m.s.", "lowest", "highest", "lowest ", "highest ", "power")
    table = plain_table((names[0], "left"), *((name, "right") for name in names[1:]), heading=True)
    for each in found.meters:
        currents = (each.rms_current_a, each.lowest_current_a, each.highest_current_a)
        volts = (each.lowest_voltage_v, each.highest_voltage_v)
        cells = [quantity_text(v, "A") for v in currents] + [quantity_text(v, "V") for v in volts]
        table.add_row(each.part, *cells, quantity_text(each.power_w, "W"))
    console.print(table)
