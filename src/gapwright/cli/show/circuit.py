"""A generator alone as text: what it delivers, what its parts carry, where its joules go."""

from rich.console import Console
from rich.text import Text

from gapwright.app.generator_frame import kicks_said
from gapwright.app.generator_view import no_spark_says
from gapwright.app.wording import quantity_text, share_text
from gapwright.cli.show.ledger import show_ledger
from gapwright.cli.show.paper import heading, paper, plain_table
from gapwright.study.generator.generator_alone import GeneratorAlone, Meter, Pulse
from gapwright.study.grounds.limit_words import ZERO_CELSIUS
from gapwright.study.grounds.outcome import Degree

STYLES = {Degree.DANGER: "bold red", Degree.CARE: "bold", Degree.NOTE: "dim"}
"""How each degree is set off, beside its word."""


def show_circuit(found: GeneratorAlone, *, scene: str) -> None:
    """Print everything but the waveforms, which --json and --plot hold."""
    console = paper()
    console.print(Text(f"{found.rig}: {found.kind} generator alone", style="bold"))
    show_lines(console, filling_lines(found))
    console.print()
    console.print(heading(f"Sparking whenever the gap reaches {quantity_text(found.strikes_at_v, 'V')}"))
    if found.pulse is None:
        console.print(Text(f"  {no_spark_says(found)}"))
    else:
        show_lines(console, pulse_lines(found.pulse))
    console.print()
    show_findings(console, found)
    console.print()
    show_limits(console, found)
    console.print()
    chosen = next(each for each in found.scenes if each.name == scene)
    show_meters(console, f"What the parts carry: {chosen.happens}", chosen.begins)
    kicks = kicks_said(chosen.begins, found.peak_open_voltage_v)
    if kicks:
        console.print(Text(kicks, style="dim"))
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
        ("action integral", f"{pulse.action_a2s:.3g} A²s"),
        ("left on the store", quantity_text(pulse.left_voltage_v, "V")),
    ]


def show_findings(console: Console, found: GeneratorAlone) -> None:
    """What deserves a word: everything beyond a limit, the gravest first, each with its remedy."""
    console.print(heading("Findings"))
    worth = [each for each in found.findings if not each.within or each.degree is not Degree.NOTE]
    if not worth:
        console.print("  every part stays within its limits, in every scene")
    for each in worth:
        mark = Text(f"{each.degree.value:<7}", style=STYLES[each.degree])
        table = plain_table(("", "left"), ("", "left"))
        table.add_row(mark, Text(each.text))
        table.add_row("", Text(each.remedy, style="dim"))
        console.print(table)


def show_limits(console: Console, found: GeneratorAlone) -> None:
    """Every quantity that has a limit: what is found, the limit, the share of it that is left."""
    console.print(heading("Limits, and what is left of them"))
    columns = (
        ("part", "left"),
        ("quantity", "left"),
        ("found", "right"),
        ("limit", "right"),
        ("left", "right"),
        ("scene", "left"),
    )
    table = plain_table(*columns, heading=True)
    for each in found.findings:
        if each.limit is None or each.margin is None:
            continue
        left = share_text(min(each.margin, 9.99))
        style = "" if each.within else STYLES[each.degree]
        found_text, limit_text = (number_text(value, each.unit) for value in (each.found, each.limit))
        table.add_row(each.part, each.quantity, found_text, limit_text, Text(left, style=style), each.scene)
    console.print(table)


def number_text(value: float, unit: str) -> str:
    """A number with its unit; temperatures as a thermometer shows them."""
    return f"{value - ZERO_CELSIUS:.0f} °C" if unit == "K" else quantity_text(value, unit)


def show_meters(console: Console, title: str, meters: tuple[Meter, ...]) -> None:
    """Currents, voltages and power of each part in a scene."""
    console.print(heading(title))
    names = ("part", "r.m.s.", "lowest", "highest", "lowest ", "highest ", "power")
    table = plain_table((names[0], "left"), *((name, "right") for name in names[1:]), heading=True)
    for each in meters:
        currents = (each.rms_current_a, each.lowest_current_a, each.highest_current_a)
        volts = (each.lowest_voltage_v, each.highest_voltage_v)
        cells = [quantity_text(v, "A") for v in currents] + [quantity_text(v, "V") for v in volts]
        table.add_row(each.part, *cells, quantity_text(each.power_w, "W"))
    console.print(table)
