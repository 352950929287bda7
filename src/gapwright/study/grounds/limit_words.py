"""A limit and its source in words, as a caution names them."""

from gapwright.base.quantity import printed_quantity
from gapwright.base.source import Status
from gapwright.base.units import Kelvins
from gapwright.facts.limits import Limit, limit
from gapwright.facts.sources import source
from gapwright.study.grounds.outcome import Caution, Degree

PRACTICE = "common practice, no source"
RIG_FILE = "the rig file"
ZERO_CELSIUS = 273.15


def celsius_text(temperature: Kelvins) -> str:
    """A temperature as a thermometer shows it.

    Examples
    --------
    >>> celsius_text(311.15)
    '38 °C'
    >>> celsius_text(2301.0)
    '2030 °C'
    """
    degrees = temperature - ZERO_CELSIUS
    if degrees >= 1000.0:
        return f"{float(f'{degrees:.3g}'):.0f} °C"
    return printed_quantity(degrees, "°C")


def limit_words(bound: Limit) -> str:
    """The number of a limit, on which side it bounds, and what.

    Examples
    --------
    >>> limit_words(limit("liquid-cover"))
    'at least 40 mm, hydrocarbon over the spark'
    """
    if bound.unit == "K" and bound.value > ZERO_CELSIUS:
        number = celsius_text(bound.value)
    elif not bound.unit:
        number = printed_quantity(100.0 * bound.value, "%")
    else:
        number = printed_quantity(bound.value, bound.unit)
    return f"{bound.sense.value} {number}, {bound.title}"


def source_words(bound: Limit) -> str:
    """Where a limit comes from, and how sure it is unless it was read.

    Examples
    --------
    >>> source_words(limit("spindle-insulation")), source_words(limit("hydrogen-share"))
    ('common practice, no source', 'from memory, no work named')
    """
    if bound.status is Status.COMMON_PRACTICE:
        return PRACTICE
    work = source(bound.source)
    if bound.status is Status.FROM_MEMORY and bound.source != "from-memory":
        return f"{work.title} (from memory)"
    return work.title


def by_limit(degree: Degree, text: str, key: str) -> Caution:
    """Caution raised by a limit of the tables."""
    bound = limit(key)
    return Caution(degree=degree, text=text, limit=limit_words(bound), source=source_words(bound))
