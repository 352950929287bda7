"""Standard tolerance grades of ISO 286 for the sizes of small holes."""

from gapwright.base.checks import require_positive
from gapwright.base.errors import OutOfRange
from gapwright.base.units import Metres
from gapwright.facts._reading import data, missing
from gapwright.facts.limits import limit

COARSE_FROM = 14
"""First grade that is not used for the smallest sizes."""


def grades() -> tuple[str, ...]:
    """Names of the grades, finest first."""
    return tuple(data("iso286")["grades"]["width"])


def _range_of(size: float) -> int:
    """Which range of the table a size falls into."""
    require_positive("size", size, "m")
    ends = data("iso286")["ranges"]["up_to"]
    for index, end in enumerate(ends):
        if size <= end:
            return index
    raise OutOfRange(f"size must be at most {ends[-1] * 1e3:g} mm for this table, got {size * 1e3:g} mm")


def _is_unused(grade: str, size: float) -> bool:
    """Whether the standard does not use this grade for a size as small as this."""
    return int(grade.removeprefix("IT")) >= COARSE_FROM and not limit("tolerance-small-size").broken_by(size)


def grade_width(grade: str, *, size: Metres) -> Metres:
    """Width of a tolerance grade at a nominal size, from the table of the standard.

    Parameters
    ----------
    grade
        `IT1` to `IT14`.
    size
        Nominal size, above 0 and at most 10 mm. [m]

    Returns
    -------
    width
        Whole width of the tolerance. [m]

    Raises
    ------
    InputRefused
        If the size is not above 0.
    FactMissing
        If there is no such grade.
    OutOfRange
        If the size is beyond the table, or the grade is not used for it.

    Examples
    --------
    >>> print(f"{grade_width('IT7', size=0.6e-3) * 1e6:.0f} µm")
    10 µm
    """
    column = _range_of(size)
    widths = data("iso286")["grades"]["width"]
    if grade not in widths:
        raise missing("the tolerance grade", grade, widths, table="iso-286")
    if _is_unused(grade, size):
        raise OutOfRange(
            f"a grade must be finer than IT{COARSE_FROM} for sizes up to 1 mm, got {grade} at "
            f"{size * 1e3:g} mm; state the tolerance as a width"
        )
    width: Metres = widths[grade][column]
    return width


def grade_holding(width: Metres, *, size: Metres) -> str | None:
    """Finest grade at least as wide as `width` at this size; None if every usable grade is narrower.

    Parameters
    ----------
    width
        Whole width of the tolerance, above 0. [m]
    size
        Nominal size, above 0 and at most 10 mm. [m]

    Raises
    ------
    InputRefused
        If a value is not above 0.
    OutOfRange
        If the size is beyond the table.

    Examples
    --------
    >>> grade_holding(80e-6, size=0.58e-3)
    'IT12'
    """
    require_positive("width", width, "m")
    column = _range_of(size)
    for grade, widths in data("iso286")["grades"]["width"].items():
        if widths[column] >= width and not _is_unused(grade, size):
            return str(grade)
    return None
