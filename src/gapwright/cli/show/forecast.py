"""A forecast as text: the verdict, what a person looks at first, then the rest."""

from rich.console import Console
from rich.text import Text

from gapwright.app.forecast import Answer
from gapwright.app.hole_row import ROW_COLUMNS, row_heading, row_lines
from gapwright.app.measures import Measure, endings_text, first_measures, further_measures, reading_text
from gapwright.cli.show.ledger import show_ledger
from gapwright.cli.show.paper import heading, paper, paragraph, plain_table
from gapwright.study.grounds.outcome import Caution, Degree, Forecast

BRIEF = (
    "taper",
    "roughness Ra",
    "VDI 3400 class",
    "recast layer",
    "sparks",
    "sparks a second",
    "energy of a spark",
)
"""Measures of the second row that belong into the short table."""

STYLES = {Degree.DANGER: "bold red", Degree.CARE: "yellow", Degree.NOTE: ""}


def show_forecast(answer: Answer) -> None:
    """Print the whole forecast."""
    console = paper()
    forecast = answer.forecast
    show_verdict(console, forecast)
    show_measures(console, short_measures(answer))
    show_counts(console, forecast.cautions)
    console.print(f"{forecast.ignition}. {endings_text(forecast)}", style="dim")
    show_readings(console, forecast)
    console.print()
    show_ledger(console, forecast.ledger)
    show_row(console, forecast)
    show_cautions(console, forecast.cautions)
    show_remarks(console, forecast)


def show_verdict(console: Console, forecast: Forecast) -> None:
    """One line in words."""
    console.print(f"{forecast.rig}, {forecast.job}", style="dim")
    console.print(Text(forecast.verdict, style="bold green" if forecast.gets_through else "bold red"))
    if forecast.limited_by not in forecast.verdict:
        console.print(f"Limited by {forecast.limited_by}.")


def short_measures(answer: Answer) -> list[Measure]:
    """What can be read in ten seconds."""
    return first_measures(answer) + [m for m in further_measures(answer.forecast) if m.name in BRIEF]


def show_measures(console: Console, measures: list[Measure]) -> None:
    """Middle, band and remark of each measure."""
    table = plain_table(("", "left"), ("", "right"), ("", "left"), ("", "left"))
    for each in measures:
        table.add_row(each.name, Text(each.middle, style="bold"), each.band, Text(each.remark, style="dim"))
    console.print(table)


def show_counts(console: Console, cautions: tuple[Caution, ...]) -> None:
    """How many cautions of each degree follow further down."""
    counts = [(degree, sum(caution.degree is degree for caution in cautions)) for degree in STYLES]
    parts = [Text(f"{degree.value} {count}", style=STYLES[degree]) for degree, count in counts if count]
    if parts:
        console.print(Text("Cautions below: ").append_text(Text(", ").join(parts)))


def show_readings(console: Console, forecast: Forecast) -> None:
    """What a plain meter should show, and what a wrong reading means."""
    console.print()
    console.print(heading("What a plain meter should show when all is well"))
    for reading in forecast.expected_readings.values():
        text = reading_text(reading)
        band = f" ({text.band})" if text.band else ""
        console.print(paragraph(f"{text.name}: {text.middle}{band}"))
        for word, meaning in (("lower", reading.if_low), ("higher", reading.if_high)):
            if meaning:
                console.print(paragraph(Text(f"{word}: {meaning}", style="dim"), indent=6))


def show_row(console: Console, forecast: Forecast) -> None:
    """Several holes with one electrode, where they were asked for."""
    if forecast.row is None:
        return
    console.print()
    console.print(heading(row_heading(forecast.row)))
    table = plain_table(*[(name, "right") for name in ROW_COLUMNS], heading=True)
    for line in row_lines(forecast.row):
        table.add_row(*(", ".join(part for part in (cell.middle, cell.remark) if part) for cell in line))
    console.print(table)
    for words in forecast.row.words:
        console.print(paragraph(words))


def show_cautions(console: Console, cautions: tuple[Caution, ...]) -> None:
    """Safety remarks, the gravest first, each with its limit and source."""
    if not cautions:
        return
    console.print()
    console.print(heading("Cautions"))
    table = plain_table(("", "left"), ("", "left"))
    for degree in STYLES:
        for caution in cautions:
            if caution.degree is degree:
                limit = (f"\nlimit: {caution.limit} ({caution.source})", "dim")
                table.add_row(Text(degree.value, style=STYLES[degree]), Text.assemble(caution.text, limit))
    console.print(table)


def show_remarks(console: Console, forecast: Forecast) -> None:
    """Remarks, and which laws were used outside their range."""
    lines = [*forecast.remarks]
    if forecast.gap_loop is not None:
        lines.append(f"{forecast.gap_loop.words}.")
    lines += [
        f"Outside its stated range: {excess.law}, {excess.how_far}." for excess in forecast.outside_range
    ]
    if lines:
        console.print()
        console.print(heading("Remarks"))
    for line in lines:
        console.print(paragraph(line))
