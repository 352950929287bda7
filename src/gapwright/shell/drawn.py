"""Every figure of a forecast by its name, as SVG or PNG."""

from collections.abc import Callable, Mapping

from matplotlib.figure import Figure

from gapwright.app.claims import Claim, claim
from gapwright.app.flow import flow_of
from gapwright.app.forecast import Answer
from gapwright.base.checks import close_names
from gapwright.base.errors import InputRefused
from gapwright.shell.figures.canvas import picture_bytes, svg_text
from gapwright.shell.figures.card import claim_card
from gapwright.shell.figures.depth import depth_against_time
from gapwright.shell.figures.flow import flow_across, flow_down
from gapwright.shell.figures.history import course_in_time
from gapwright.shell.figures.section import section_to_scale
from gapwright.shell.figures.sparks import few_sparks, spark_energies

FIGURES: Mapping[str, Callable[[Answer, float], Figure]] = {
    "flow": lambda a, _: flow_across(flow_of(a.forecast.ledger)),
    "flow-down": lambda a, _: flow_down(flow_of(a.forecast.ledger)),
    "depth": lambda a, width: depth_against_time(a.forecast, a.pictures, width),
    "section": lambda a, width: section_to_scale(a.forecast, a.pictures, width),
    "course": lambda a, width: course_of(a, width),
    "sparks": lambda a, width: few_sparks(a.pictures, width),
    "energies": lambda a, width: spark_energies(a.pictures, width),
}
"""Figures of a forecast, by name; each takes a width in inches."""


def course_of(answer: Answer, width: float) -> Figure:
    """Depth, gap and classes of the drilling shown over time.

    Raises
    ------
    InputRefused
        If the drilling has not been followed spark by spark.
    """
    kept = answer.recorded
    if kept is None or not len(kept.history):
        raise InputRefused("this answer has no drilling spark by spark; take a later one")
    return course_in_time(
        kept.history,
        answer.forecast.gap_loop,
        thickness=answer.pictures.thickness_m,
        classes=kept.playback.classes,
        width=width,
    )


CARD_DOTS = 150.0
"""Dots to the inch of a card: 1920 by 1080."""


def answer_figure(answer: Answer, name: str, *, form: str, width: float) -> bytes:
    """A figure of a forecast.

    Raises
    ------
    InputRefused
        If there is no figure of that name.
    """
    if name not in FIGURES:
        raise InputRefused(
            f"a figure must be one of {', '.join(FIGURES)}{close_names(name[:60], list(FIGURES))}"
        )
    return _drawn(FIGURES[name](answer, width), form=form, dots=200.0)


def answer_card(answer: Answer, name: str, *, form: str) -> bytes:
    """A card with one claim of a forecast."""
    return claim_picture(claim(answer, name), form=form)


def claim_picture(made: Claim, *, form: str) -> bytes:
    """A card with a claim, whatever it is of."""
    return _drawn(claim_card(made), form=form, dots=CARD_DOTS)


def _drawn(figure: Figure, *, form: str, dots: float) -> bytes:
    return svg_text(figure).encode() if form == "svg" else picture_bytes(figure, dots_per_inch=dots)


def answer_report(answer: Answer) -> str:
    """The report of a forecast, one page that stands by itself."""
    from gapwright.shell.report.page import report_html

    return report_html([answer])
