"""From the name of a rig file to its generator alone."""

from dataclasses import dataclass

from gapwright.app.ports import TextSource
from gapwright.base.checks import close_names
from gapwright.base.errors import InputRefused
from gapwright.base.progress import Progress, silent
from gapwright.base.units import Seconds
from gapwright.circuit.control.ignition import Threshold
from gapwright.circuit.deck.deck import deck
from gapwright.rig.reading import rig_from_text
from gapwright.study.generator.generator_alone import GeneratorAlone, generator_bench, seen_on, told
from gapwright.study.generator.network import network, switched_on
from gapwright.study.generator.scene_waves import SLICES, SceneWaves, scene_waves
from gapwright.study.generator.scenes import SceneName, Scenes, start_up, striking_voltage

DECK_SPAN = 10e-3
"""Time that a deck asks the outside simulator to run [s]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Seen:
    """A generator alone: what is told of it, and the scenes for whoever wants waveforms."""

    told: GeneratorAlone
    scenes: Scenes
    scene: SceneName

    def waves(
        self, *, start: Seconds | None = None, stop: Seconds | None = None, slices: int = SLICES
    ) -> SceneWaves:
        """Waveforms of all parts over a stretch of the chosen scene; all that was recorded if not given."""
        return scene_waves(self.scenes.by_name[self.scene], start=start, stop=stop, slices=slices)


def scene_named(name: str) -> SceneName:
    """Scene of that name.

    Raises
    ------
    InputRefused
        If there is none.
    """
    known = [each.value for each in SceneName]
    if name not in known:
        raise InputRefused(
            f"--scene must be one of {', '.join(known)}, got {name!r}{close_names(name, known)}"
        )
    return SceneName(name)


def circuit_of(
    rig_place: str,
    *,
    read: TextSource,
    scene: SceneName = SceneName.SPARK,
    progress: Progress = silent,
) -> Seen:
    """Behaviour of the generator of the rig at `rig_place`.

    Raises
    ------
    InputRefused
        If the file cannot be read or breaks a stated rule, or no spark can be struck.
    """
    made = generator_bench(rig_from_text(read(rig_place), rig_place))
    seen = seen_on(made, progress=progress)
    return Seen(told=told(made, seen, scene=scene), scenes=seen, scene=scene)


def deck_of(rig_place: str, *, read: TextSource) -> str:
    """Deck of the generator of the rig at `rig_place`, for an outside circuit simulator.

    Its gap strikes where that of `circuit_of` does, so that the meters of both can be compared.

    Raises
    ------
    InputRefused
        If the file cannot be read or breaks a stated rule, or no spark can be struck.
    """
    rig = rig_from_text(read(rig_place), rig_place)
    made = generator_bench(rig)
    netlist, control = network(made)
    strikes = Threshold(volts=striking_voltage(start_up(netlist, control)))
    return deck(
        netlist, control, duration=DECK_SPAN, ignition=strikes, start=switched_on(netlist), title=rig.name
    )
