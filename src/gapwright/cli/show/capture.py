"""What was understood of a capture, as text."""

from rich.console import Console
from rich.text import Text

from gapwright.app.capture_answer import CaptureAnswer, ChannelAnswer
from gapwright.app.captures import BatchAnswer
from gapwright.app.wording import quantity_text, share_text
from gapwright.cli.show.circuit import show_lines
from gapwright.cli.show.paper import heading, paper, paragraph, plain_table


def show_capture(found: CaptureAnswer) -> None:
    """Print what was read, its levels, classes and totals, and what to know beside them."""
    console = paper()
    console.print(Text(f"{', '.join(found.files)}: {found.form}", style="bold"))
    for line in found.understood:
        console.print(paragraph(Text(line, style="dim")))
    show_channels(console, found.channels)
    console.print()
    show_lines(console, recorded_lines(found))
    console.print()
    console.print(heading("Levels"))
    show_levels(console, found)
    console.print()
    console.print(heading("What the sparks did"))
    show_classes(console, found)
    show_lines(console, spark_lines(found))
    console.print()
    console.print(heading("What it means"))
    for each in found.course.meaning:
        console.print(paragraph(each.text))
        console.print(paragraph(Text(each.why, style="dim"), indent=4))
    for remark in found.remarks:
        console.print(paragraph(f"! {remark}"))


def show_batch(found: BatchAnswer) -> None:
    """Print a line for each capture, then the files that were refused."""
    console = paper()
    names = ("file", "time", "discharges", "a second", "energy", "most of them")
    table = plain_table(
        (names[0], "left"), *((n, "right") for n in names[1:5]), (names[5], "left"), heading=True
    )
    for each in found.captures:
        energy = quantity_text(each.energy_j.total, "J") if each.energy_j is not None else "not told"
        usual = max(each.classes, key=lambda name: each.classes[name].count)
        numbers = (
            quantity_text(each.duration_s, "s"),
            str(each.sparks.count),
            quantity_text(each.sparks.rate_hz, "Hz"),
        )
        table.add_row(each.files[0], *numbers, energy, usual)
    console.print(table)
    for refused in found.refused:
        named = "" if refused.file in refused.reason else f"{refused.file}: "
        console.print(paragraph(f"! {named}{refused.reason}"))


def show_channels(console: Console, channels: tuple[ChannelAnswer, ...]) -> None:
    """Print the channels with their ends and steps."""
    names = ("channel", "", "least", "greatest", "step", "clipped")
    table = plain_table(
        (names[0], "left"), (names[1], "left"), *((n, "right") for n in names[2:]), heading=True
    )
    for each in channels:
        step = quantity_text(each.step, each.unit) if each.step else "none seen"
        ends = (quantity_text(each.least, each.unit), quantity_text(each.greatest, each.unit))
        table.add_row(each.name, each.quantity, *ends, step, share_text(each.clipped_share))
    console.print(table)


def recorded_lines(found: CaptureAnswer) -> list[tuple[str, str]]:
    """Rate, duration and counts."""
    return [
        ("samples a second", quantity_text(found.rate_hz, "Hz")),
        ("recorded time", quantity_text(found.duration_s, "s")),
        ("samples of each channel", f"{found.samples:,}".replace(",", "\u202f")),
        ("segments", str(found.segments)),
        ("generator", found.generator),
        *skew_lines(found),
    ]


def skew_lines(found: CaptureAnswer) -> list[tuple[str, str]]:
    """How late the current came, where that was found, and what is left of it in the energy."""
    if found.skew_s is None or found.skew_uncertainty_s is None:
        return []
    known = f"{quantity_text(found.skew_s, 's')} ± {quantity_text(found.skew_uncertainty_s, 's')}"
    lines = [("the current comes later by", known)]
    if found.energy_j is not None:
        lines.append(("what that leaves unsure of the energy", share_text(found.energy_j.skew_share)))
    return lines


UNITS = {"_v_per_s": "V/s", "_a_per_s": "A/s", "_v": "V", "_a": "A", "_s": "s"}
"""Units of levels by the ends of their keys, the longer ends first."""


def show_levels(console: Console, found: CaptureAnswer) -> None:
    """Print the levels with their uncertainty and where they came from."""
    table = plain_table(
        ("level", "left"), ("", "right"), ("uncertainty", "right"), ("from", "left"), heading=True
    )
    for key, level in found.levels.items():
        end, unit = next((end, unit) for end, unit in UNITS.items() if key.endswith(end))
        values = (quantity_text(level.value, unit), quantity_text(level.uncertainty, unit))
        table.add_row(key.removesuffix(end).replace("_", " "), *values, level.found)
    console.print(table)


def show_classes(console: Console, found: CaptureAnswer) -> None:
    """Print each class that occurs."""
    table = plain_table(("class", "left"), ("count", "right"), ("share of time", "right"), heading=True)
    for name, each in found.classes.items():
        if each.count:
            table.add_row(name, str(each.count), share_text(each.time_share))
    console.print(table)


def spark_lines(found: CaptureAnswer) -> list[tuple[str, str]]:
    """Totals over all discharges."""
    lines = [
        ("discharges", str(found.sparks.count)),
        ("discharges a second", quantity_text(found.sparks.rate_hz, "Hz")),
    ]
    if found.energy_j is not None and found.charge_c is not None:
        lines += [
            ("energy in the gap, all", quantity_text(found.energy_j.total, "J")),
            ("energy of the middle one", quantity_text(found.energy_j.median, "J")),
            ("charge through the gap", quantity_text(found.charge_c.total, "C")),
        ]
    if found.delay_s.mean is not None and found.delay_s.censored is not None:
        lines += [
            ("mean ignition delay of those that fired", quantity_text(found.delay_s.mean, "s")),
            ("with the waits that did not fire", quantity_text(found.delay_s.censored, "s")),
        ]
    return lines
