"""The rig that a generator is sized for: a rig file with its supply set and any generator in it."""

import tomlkit

from gapwright.base.errors import InputRefused
from gapwright.base.quantity import printed_quantity
from gapwright.base.units import Amperes, Volts
from gapwright.rig.reading import rig_from_text, to_text
from gapwright.study.generator.generator_alone import generator_bench
from gapwright.study.sizing.sizing_parts import text
from gapwright.study.sizing.sizing_plan import USUAL_VOLTAGE

STAND_INS = {
    "step-up": """
kind = "step-up"
peak_current = "1 A"
minimum_off_time = "4 us"
voltage_limit = "{volts:.6g} V"
hysteresis = "{share:.6g} V"
coil = {{ inductance = "100 uH", resistance = "100 mohm", saturation_current = "3 A" }}
switch = {{ on_resistance = "50 mohm", voltage_rating = "400 V", current_rating = "10 A" }}
diode = {{ drop = "0.7 V", resistance = "30 mohm", voltage_rating = "400 V", current_rating = "5 A" }}
""",
    "relaxation": """
kind = "relaxation"
resistor = {{ resistance = "1 kohm", power_rating = "50 W" }}
""",
}
STORE = """
[capacitor]
capacitance = "1 uF"
type = "film"
voltage_rating = "630 V"
reverse_rating = "630 V"
ripple_rating = "10 A"
"""
"""Generators that hold the place of the one that is sized, so that the rest of the file is checked."""


def sizing_base(
    source: str, *, origin: str, supply: tuple[Volts | None, Amperes | None], volts: Volts | None
) -> str:
    """Text of a rig file with its supply set and a stand-in for its generator.

    Parameters
    ----------
    source, origin
        Rig file and its name in a refusal.
    supply
        Voltage and current limit in place of the file's; None keeps the file's.
    volts
        Open voltage that is wanted; the usual one if None. [V]

    Raises
    ------
    InputRefused
        If the file, or what is set in it, breaks a rule.
    """
    rig_from_text(source, origin)
    changes: dict[str, str | int | float | bool] = {
        key: text(value, unit)
        for key, value, unit in (
            ("supply.voltage", supply[0], "V"),
            ("supply.current_limit", supply[1], "A"),
        )
        if value is not None
    }
    changed = to_text(source, changes)
    document = tomlkit.parse(changed)
    own = supply[0] if supply[0] is not None else rig_from_text(source, origin).supply.voltage
    wanted = volts or max(USUAL_VOLTAGE, own)
    kind = "step-up" if wanted > own else "relaxation"
    stand_in = STAND_INS[kind].format(volts=wanted, share=0.03 * wanted)
    del document["generator"]
    document["generator"] = tomlkit.parse(stand_in + STORE)
    text_of = tomlkit.dumps(document)
    try:
        generator_bench(rig_from_text(text_of, origin))
    except InputRefused as fault:
        if volts is None:
            raise
        got = printed_quantity(volts, "V")
        raise InputRefused(f"--voltage must be one that can spark, got {got}: {fault}") from None
    return text_of
