"""Proposed generators as text: the ranking, then the best one part by part."""

from rich.console import Console
from rich.text import Text

from gapwright.app.wording import banded_text, counted, quantity_text, share_text
from gapwright.cli.show.paper import heading, paper, plain_table
from gapwright.study.sizing.sizing import Sizing, Verified


def show_sizing(found: Sizing) -> None:
    """Print the ranking and the best candidate."""
    console = paper()
    wanted = f"{quantity_text(found.energy_j, 'J')} at {quantity_text(found.rate_hz, 'Hz')}"
    console.print(Text(f"Generators for sparks of {wanted}", style="bold"))
    most = quantity_text(found.largest_energy_j, "J")
    console.print(f"  this electrode bears at most {most}: {found.largest_energy_because}", style="dim")
    for kind, reason in found.unsuitable.items():
        console.print(f"  no {kind}: {reason}", style="dim")
    if not found.candidates:
        return
    console.print()
    show_ranking(console, found)
    console.print()
    show_candidate(console, found.candidates[0])


def show_ranking(console: Console, found: Sizing) -> None:
    """A row for each candidate; bands are over the members."""
    columns = (
        ("", "right"),
        ("kind", "left"),
        ("spark", "left"),
        ("rate", "left"),
        ("peak", "left"),
        ("to the arc", "right"),
        ("parts", "right"),
        ("stress", "right"),
    )
    table = plain_table(*columns, heading=True)
    for each in found.candidates:
        mark = "" if each.meets else "*"
        table.add_row(
            f"{each.rank}{mark}",
            each.kind,
            str(banded_text(each.energy_j, "J")),
            str(banded_text(each.rate_hz, "Hz")),
            str(banded_text(each.peak_current_a, "A")),
            share_text(each.arc_share.median or 0.0),
            f"{each.part_count}",
            share_text(each.largest_stress),
        )
    console.print(table)
    console.print(
        f"  bands: 5th and 95th percentile over {counted(found.members, 'draw', 'draws')} of the tolerances; "
        "stress: largest share of a rating",
        style="dim",
    )
    for each in found.candidates:
        if each.misses:
            console.print(f"  * {each.rank}: {'; '.join(each.misses)}", style="dim")


def show_candidate(console: Console, best: Verified) -> None:
    """Parts, numbers for the controller, and what to look out for."""
    console.print(heading(f"The first: {best.kind}"))
    table = plain_table(("part", "left"), ("value", "left"), ("bears", "left"), heading=True)
    for line in best.parts:
        table.add_row(line.part, line.value, line.bears)
    console.print(table)
    console.print()
    console.print(heading("Numbers for the controller"))
    divider = best.divider
    console.print(
        f"  the converter reads {divider.code} at the open voltage, in steps of "
        f"{quantity_text(divider.step_v, 'V')} of the store"
    )
    for timer in best.timers:
        console.print(
            f"  {timer.name}: {counted(timer.counts, 'count', 'counts')} at prescaler {timer.prescaler}, "
            f"{quantity_text(timer.lasts_s, 's')}"
        )
    if best.findings:
        console.print()
        console.print(heading("What to look out for"))
        for each in best.findings:
            rows = plain_table(("", "left"), ("", "left"))
            rows.add_row(f"{each.degree.value:<5}", Text(each.text))
            rows.add_row("", Text(each.remedy, style="dim"))
            console.print(rows)
