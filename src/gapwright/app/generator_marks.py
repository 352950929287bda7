"""What stands beside the parts of a schematic, and how strongly each is shaded."""

from dataclasses import dataclass

from gapwright.app.generator_view import GeneratorView, scene_of
from gapwright.app.wording import quantity_text, share_text
from gapwright.base.errors import InputRefused
from gapwright.circuit.stages.generators import GAP


@dataclass(frozen=True, slots=True, kw_only=True)
class Marks:
    """What is written beside the parts of a schematic, how strongly each is shaded, and what that means."""

    values: dict[str, str]
    shades: dict[str, float]
    title: str


SHOWS = ("watts", "stress", "peaks")
"""What a schematic can show beside its parts."""


def marks(view: GeneratorView, *, scene: str, shows: str) -> Marks:
    """Marks of a schematic: "watts", "stress" or "peaks".

    Raises
    ------
    InputRefused
        If there is no such scene or nothing of that name is shown.
    """
    if shows not in SHOWS:
        raise InputRefused(f"a schematic shows one of {', '.join(SHOWS)}, got {shows[:60]!r}")
    shown = scene_of(view, scene)
    values: dict[str, str] = {}
    shades: dict[str, float] = {}
    for part in shown.parts:
        if shows == "watts" and part.heat_w is not None:
            values[part.part] = quantity_text(part.heat_w, "W")
            if part.part != GAP and shown.hottest_w > 0.0:
                shades[part.part] = (part.heat_w / shown.hottest_w) ** 0.5
        elif shows == "stress" and part.stress is not None:
            values[part.part] = f"{share_text(part.stress)} of limit"
            shades[part.part] = part.stress
        elif shows == "peaks":
            peak = quantity_text(part.peak_current_a, "A")
            values[part.part] = f"{peak}, {quantity_text(part.peak_voltage_v, 'V')}"
    what = {
        "watts": "heat of each part, shaded by the root of its watts",
        "stress": "largest share of a limit over all scenes, shaded up to the limit",
        "peaks": "peak current and voltage of each part",
    }[shows]
    return Marks(values=values, shades=shades, title=f"{view.told.rig}, {shown.title.lower()}: {what}")
