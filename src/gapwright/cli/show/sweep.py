"""A sweep as text: a row for each point, a column for each figure that matters most."""

from rich.text import Text

from gapwright.app.sweep import SweepAnswer
from gapwright.app.wording import quantity_text, share_text
from gapwright.cli.show.paper import heading, paper, plain_table
from gapwright.study.forecast.sweep_columns import SHORT, column_unit, columns_of

SHARES = frozenset({"arc_share", "least_margin", "through_share"})
"""Figures that are shares, told in percent as everywhere else."""


def figure_text(name: str, value: float) -> str:
    """A figure with its unit, a share in percent."""
    return share_text(value) if name in SHARES else quantity_text(value, column_unit(name))


def show_sweep(found: SweepAnswer) -> None:
    """Print the figures that matter most; --json and --plot FILE.parquet hold them all."""
    console = paper()
    what = found.job or "generator alone"
    console.print(Text(f"{found.rig}, {what}: {len(found.points)} points", style="bold"))
    columns = columns_of(found.points)
    names = [(axis.key.rsplit(".", 1)[-1].replace("_", " "), "left") for axis in found.axes]
    table = plain_table(*names, *((SHORT[name], "right") for name in columns), heading=True)
    for point in found.points:
        cells = [quantity_text(point.values[axis.key], axis.unit) for axis in found.axes]
        for name in columns:
            value = point.figures.get(name)
            cells.append("-" if value is None else figure_text(name, value))
        table.add_row(*cells)
    console.print(table)
    refused = {point.refused for point in found.points if point.refused}
    if refused:
        console.print(heading("Points without an answer"))
        for reason in sorted(refused):
            console.print(f"  {reason}")
