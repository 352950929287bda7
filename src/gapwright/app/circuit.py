"""From the name of a rig file to its generator alone."""

from gapwright.app.ports import TextSource
from gapwright.circuit.deck import deck
from gapwright.circuit.ignition import Threshold
from gapwright.rig.reading import rig_from_text
from gapwright.study.generator_alone import STRIKES_AT, GeneratorAlone, generator_alone, generator_bench
from gapwright.study.network import network

DECK_SPAN = 10e-3
"""Time that a deck asks the outside simulator to run [s]."""


def circuit_of(rig_place: str, *, read: TextSource) -> GeneratorAlone:
    """Behaviour of the generator of the rig at `rig_place`.

    Raises
    ------
    InputRefused
        If the file cannot be read or breaks a stated rule, or no spark can be struck.
    """
    return generator_alone(rig_from_text(read(rig_place), rig_place))


def deck_of(rig_place: str, *, read: TextSource) -> str:
    """Deck of the generator of the rig at `rig_place`, for an outside circuit simulator.

    Raises
    ------
    InputRefused
        If the file cannot be read or breaks a stated rule, or no spark can be struck.
    """
    rig = rig_from_text(read(rig_place), rig_place)
    made = generator_bench(rig)
    netlist, control = network(made)
    strikes = Threshold(volts=STRIKES_AT * made.ceiling)
    return deck(netlist, control, duration=DECK_SPAN, ignition=strikes, title=rig.name)
