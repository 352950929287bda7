"""Why a generator cannot be forecast, in one line: what of it a charge map cannot hold, and what to do."""

from gapwright.base.errors import InputRefused
from gapwright.rig.generator import AnyGenerator, gives_pulses
from gapwright.rig.rig import Rig

RUNS = "`gapwright circuit` runs it"


def no_map(generator: AnyGenerator, fault: InputRefused) -> InputRefused:
    """Refusal of a generator that has no charge map; `fault` is what the map itself says."""
    return InputRefused(
        "the state of a generator must follow from its store's voltage to be forecast, "
        f'got generator.kind = "{generator.kind}": {fault}; {RUNS}'
    )


def require_readable(rig: Rig) -> None:
    """Refuse a controller that reads the store where the store says nothing of the gap.

    Raises
    ------
    InputRefused
        If pulses are taken from a store across the supply.
    """
    if gives_pulses(rig.generator) and rig.controller.senses == "store-voltage":
        raise InputRefused(
            "controller.senses must tell of the gap, which a store across the supply does not, "
            f'got "store-voltage" with generator.kind = "{rig.generator.kind}"; '
            'write "mean-gap-voltage" or "ignition-delay-ratio"'
        )
