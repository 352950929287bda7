"""Several holes with one electrode, as texts ready to show."""

from gapwright.app.wording import banded_text, share_text
from gapwright.study.grounds.outcome import Banded, HoleRow

ROW_COLUMNS = ("hole", "gets there", "time", "exit diameter", "electrode used", "feed", "thinner over")
"""Headings of the columns of `row_lines`."""


def row_heading(row: HoleRow) -> str:
    """Heading over a row of holes."""
    return f"{len(row.holes)} holes in a row with one electrode, of {row.count}; over {row.members} members"


def row_lines(row: HoleRow, *, banded: bool) -> list[tuple[str, ...]]:
    """Each followed hole, then all holes of the job, in the order of `ROW_COLUMNS`; medians or also bands."""

    def said(value: Banded, unit: str, missing: str = "unknown") -> str:
        text = banded_text(value, unit, missing=missing)
        middle = text.middle or missing
        return f"{middle}, {text.band}" if banded and text.band else middle

    lines = [
        (
            str(each.hole),
            share_text(each.finished_share),
            said(each.time_s, "s", "never"),
            said(each.exit_diameter_m, "mm"),
            said(each.wear_length_m, "mm", "never"),
            said(each.feed_m, "mm", "never"),
            said(each.point_length_m, "mm"),
        )
        for each in row.holes
    ]
    time, length = said(row.total_time_s, "s", "never"), said(row.total_electrode_m, "mm", "never")
    return [*lines, (f"all {row.count}", "", time, "", length, "", "")]
