"""Why a generator cannot be forecast, in one line: what of it a charge map cannot hold, and what to do."""

from gapwright.base.errors import InputRefused
from gapwright.rig.generator import AnyGenerator, Relaxation, StepUp
from gapwright.rig.generator_kinds import CurrentSource, Flyback, IsoPulse
from gapwright.rig.netlist_file import NetlistGenerator

RUNS = "`gapwright circuit` runs it"
ANOTHER = f"{RUNS}; `gapwright size --kind step-up` finds one for the drilling"


def no_map(generator: AnyGenerator, fault: InputRefused) -> InputRefused:
    """Refusal of a generator that has no charge map; `fault` is what the map itself says."""
    key, got, why, do = _reason(generator, fault)
    return InputRefused(
        "the state of a generator must follow from its store's voltage to be forecast, "
        f"got generator.{key} = {got}: {why}; {do}"
    )


def _reason(generator: AnyGenerator, fault: InputRefused) -> tuple[str, str, str, str]:
    """Key, what was got, what stands against it, and what to do."""
    kind = "kind", f'"{generator.kind}"'
    match generator:
        case Flyback():
            return (
                *kind,
                "its clamp and its second coil keep energy of their own from cycle to cycle",
                ANOTHER,
            )
        case IsoPulse():
            return *kind, "its sparks are pulses by the clock, and no store is emptied by them", ANOTHER
        case CurrentSource():
            return *kind, "its coil carries a current of its own from one discharge to the next", ANOTHER
        case Relaxation() | StepUp():
            return _option(generator, fault)
        case NetlistGenerator():
            return *kind, str(fault), RUNS


def _option(generator: Relaxation | StepUp, fault: InputRefused) -> tuple[str, str, str, str]:
    """The same for a kind that has a map as long as it has no rules of its own."""
    leave = "; leave it out to forecast the drilling"
    if generator.series_switch is not None:
        return "series_switch", "a switch", "its rules keep their own time between sparks", f"{RUNS}{leave}"
    if isinstance(generator, StepUp) and generator.blanking is not None:
        return "blanking", "a time", "the charger waits by the clock after each spark", f"{RUNS}{leave}"
    if isinstance(generator, StepUp) and generator.turn_on == "at zero current":
        do = f'{RUNS}; write turn_on = "after minimum off-time" to forecast the drilling'
        return "turn_on", '"at zero current"', "the charger waits for its coil, not by its store", do
    return "kind", f'"{generator.kind}"', str(fault), RUNS
