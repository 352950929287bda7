"""Puts texts and figures together into one self-contained page."""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup
from matplotlib.figure import Figure

from gapwright import __version__
from gapwright.app import measures
from gapwright.app.demo import DemoAnswer, cell_text
from gapwright.app.flow import flow_of
from gapwright.app.forecast import Answer
from gapwright.app.hole_row import ROW_COLUMNS, row_beside, row_heading, row_lines
from gapwright.shell.figures.canvas import NARROW, WIDE, inline_svg
from gapwright.shell.figures.clock import on_one_clock
from gapwright.shell.figures.depth import depth_against_time
from gapwright.shell.figures.flow import flow_across, flow_down
from gapwright.shell.figures.history import course_in_time
from gapwright.shell.figures.row import sizes_of_a_row
from gapwright.shell.figures.section import section_to_scale
from gapwright.shell.figures.sparks import few_sparks, spark_energies
from gapwright.shell.palette import DARK, LIGHT, variables
from gapwright.study.forecast.comparison import Comparison, labels


@dataclass(frozen=True, slots=True, kw_only=True)
class Plate:
    """A figure in its wide and its narrow form, with its caption."""

    wide: Markup
    narrow: Markup
    caption: str


def plate(name: str, title: str, caption: str, draw: Callable[[bool], Figure]) -> Plate:
    """Both forms of a figure; `draw` is told whether to draw the narrow one."""
    forms = [
        inline_svg(draw(narrow), name=f"{name}{suffix}", title=title, described=caption)
        for narrow, suffix in ((False, "w"), (True, "n"))
    ]
    # Our own drawing: the only text of a user in it is the escaped label.
    return Plate(wide=Markup(forms[0]), narrow=Markup(forms[1]), caption=caption)


def plates_of(answer: Answer, number: int) -> dict[str, Plate]:
    """All figures of one forecast."""
    return figures_of(answer, number) | history_plates(answer, number) | row_plates(answer, number)


def row_plates(answer: Answer, number: int) -> dict[str, Plate]:
    """Size of the holes of a row, where one was asked for."""
    row = row_beside(answer)
    if row is None:
        return {}
    drawn = plate(
        f"r{number}",
        "Diameter against the number of the hole",
        "Marks are medians, bars hold 90 % of the members; shaded is the diameter that is wanted.",
        lambda narrow: sizes_of_a_row(row, NARROW if narrow else WIDE),
    )
    return {"row": drawn}


def history_plates(answer: Answer, number: int) -> dict[str, Plate]:
    """The drilling shown against time, where it was kept."""
    kept, loop = answer.recorded, answer.forecast.gap_loop
    if kept is None or not len(kept.history):
        return {}
    said = f" {loop.words}." if loop is not None else ""
    drawn = plate(
        f"h{number}",
        "Depth, gap and classes of discharge against time",
        f"The drilling shown, every constant at its median.{said}",
        lambda narrow: course_in_time(
            kept.history,
            loop,
            thickness=answer.pictures.thickness_m,
            classes=kept.playback.classes,
            width=NARROW if narrow else WIDE,
        ),
    )
    return {"history": drawn}


def figures_of(answer: Answer, number: int) -> dict[str, Plate]:
    """Figures that every forecast has."""
    forecast, pictures = answer.forecast, answer.pictures
    flow = flow_of(forecast.ledger)

    def width(narrow: bool) -> float:  # noqa: FBT001 - the shape that plate() calls
        return NARROW if narrow else WIDE

    return {
        "flow": plate(
            f"f{number}",
            "Energy from socket to metal",
            f"Width is energy. {measures.flow_sentence(forecast)} Shares are of all energy from the socket, "
            "auxiliaries included.",
            lambda narrow: flow_down(flow) if narrow else flow_across(flow),
        ),
        "depth": plate(
            f"d{number}",
            "Depth of the hole against time",
            "Depth runs downwards from the entry face. The shaded band holds 90 % of the members.",
            lambda narrow: depth_against_time(forecast, pictures, width(narrow)),
        ),
        "section": plate(
            f"s{number}",
            "Section through hole and electrode",
            "The median member when it ended. Dotted: the electrode as it was when new.",
            lambda narrow: section_to_scale(forecast, pictures, width(narrow)),
        ),
        "sparks": plate(
            f"v{number}",
            "Store and gap over a few sparks",
            "The gap follows the store until a spark strikes; each dot is the peak of one spark. "
            "The short kick of the leads when a spark ends goes off the scale.",
            lambda narrow: few_sparks(pictures, width(narrow)),
        ),
        "energies": plate(
            f"e{number}",
            "Energies of the sparks",
            "A hundred dots for all sparks, each at the energy that one spark in a hundred has.",
            lambda narrow: spark_energies(pictures, width(narrow)),
        ),
    }


def kept_together(text: str) -> str:
    """Text whose numbers stay on one line with their units."""
    return re.sub(r"(?<=\d) (?=[%°µΩA-Za-z³/]{1,6}\b|%)", "\u00a0", text)


def clock_plate(compared: Comparison) -> Plate:
    """Both holes of a comparison on one clock."""
    return plate(
        "clock",
        "Depth of both holes against time",
        "Depth runs downwards from the entry face. The shaded bands hold 90 % of the members of each rig.",
        lambda narrow: on_one_clock(compared, NARROW if narrow else WIDE),
    )


def report_html(
    answers: Sequence[Answer],
    *,
    heading: str = "",
    beside: DemoAnswer | None = None,
    compared: Comparison | None = None,
) -> str:
    """One self-contained page for one forecast or several, asking nothing of the network.

    `beside` puts the ledgers of several rigs side by side on top of the page,
    `compared` what differs between two.
    """
    environment = Environment(
        loader=PackageLoader("gapwright.shell.report", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters["kept"] = kept_together
    sections = [
        {
            "forecast": answer.forecast,
            "first": measures.first_measures(answer),
            "further": measures.further_measures(answer.forecast),
            "readings": [(measures.reading_text(r), r) for r in answer.forecast.expected_readings.values()],
            "lines": measures.ledger_lines(answer.forecast.ledger, flow_of(answer.forecast.ledger)),
            "classes": measures.classes_text(answer.forecast),
            "endings": measures.endings_text(answer.forecast),
            "row_heading": row_heading(answer.forecast.row) if answer.forecast.row else "",
            "row_columns": ROW_COLUMNS,
            "row_lines": row_lines(answer.forecast.row) if answer.forecast.row else [],
            "plates": plates_of(answer, number),
        }
        for number, answer in enumerate(answers)
    ]
    return environment.get_template("report.html.j2").render(
        sections=sections,
        heading=heading
        or f"{' against '.join(a.forecast.rig for a in reversed(answers))}: {answers[0].forecast.job}",
        compared=compared,
        names=labels(compared.first.rig, compared.second.rig) if compared else (),
        contrasts=measures.contrasts(compared) if compared else [],
        clock=clock_plate(compared) if compared else None,
        beside=beside,
        cell_text=cell_text,
        light=variables(LIGHT),
        dark=variables(DARK),
        version=__version__,
    )
