"""From the name of a rig file to its generator alone."""

from gapwright.app.ports import TextSource
from gapwright.rig.reading import rig_from_text
from gapwright.study.generator_alone import GeneratorAlone, generator_alone


def circuit_of(rig_place: str, *, read: TextSource) -> GeneratorAlone:
    """Behaviour of the generator of the rig at `rig_place`.

    Raises
    ------
    InputRefused
        If the file cannot be read or breaks a stated rule, or no spark can be struck.
    """
    return generator_alone(rig_from_text(read(rig_place), rig_place))
