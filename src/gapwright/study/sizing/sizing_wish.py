"""What a generator is wanted for, and what its makers have at hand."""

from dataclasses import dataclass, field

from gapwright.base.checks import close_names, require_positive
from gapwright.base.errors import InputRefused
from gapwright.base.quantity import printed_quantity
from gapwright.base.units import Amperes, Hertz, Joules, Metres, SquareMetres, Volts
from gapwright.rig.rig import Rig
from gapwright.rig.setup import bore_diameter
from gapwright.study.grounds.assemble import Bench, removal_law, usual
from gapwright.thermal.crater import largest_crater_on_rod, largest_crater_on_tube

KINDS = ("relaxation", "step-up", "flyback")
"""Kinds of generator that can be sized."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Microcontroller:
    """A controller by what it counts with: clock, counters, prescalers, converter."""

    clock_hz: Hertz = 16e6
    counter_bits: int = 16
    prescalers: tuple[int, ...] = (1, 8, 64, 256, 1024)
    converter_bits: int = 10
    reference_v: Volts = 5.0

    def __post_init__(self) -> None:
        """Refuse a controller that cannot be."""
        require_positive("--clock", self.clock_hz, "Hz")
        require_positive("--reference", self.reference_v, "V")
        for name, value in (("--counter-bits", self.counter_bits), ("--converter-bits", self.converter_bits)):
            if not 4 <= value <= 64:
                raise InputRefused(f"{name} must be between 4 and 64, got {value}")
        if not self.prescalers or min(self.prescalers) < 1:
            raise InputRefused(f"--prescalers must be whole numbers from 1 up, got {self.prescalers}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Core:
    """A core to wind on: inductance of one turn, cross-section, largest flux density."""

    factor_h: float = 250e-9
    area_m2: SquareMetres = 97e-6
    flux_t: float = 0.3

    def __post_init__(self) -> None:
        """Refuse a core that cannot be."""
        require_positive("--core-factor", self.factor_h, "H")
        require_positive("--core-area", self.area_m2, "m²")
        require_positive("--core-flux", self.flux_t, "T")


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """Spark energy, rate, voltage and peak current that are wanted."""

    energy_j: Joules
    rate_hz: Hertz
    voltage_v: Volts | None = None
    """Open voltage; 70 V, or the supply's own where nothing raises it, if not given."""
    peak_a: Amperes | None = None
    """Largest peak current of a spark; any if not given."""
    kinds: tuple[str, ...] = KINDS
    controller: Microcontroller = field(default_factory=Microcontroller)
    core: Core = field(default_factory=Core)

    def __post_init__(self) -> None:
        """Refuse what nobody can want."""
        require_positive("--energy", self.energy_j, "J")
        require_positive("--rate", self.rate_hz, "Hz")
        if self.voltage_v is not None:
            require_positive("--voltage", self.voltage_v, "V")
        if self.peak_a is not None:
            require_positive("--peak", self.peak_a, "A")
        for kind in self.kinds:
            if kind not in KINDS:
                raise InputRefused(
                    f"--kind must be one of {', '.join(KINDS)}, got {kind!r}{close_names(kind, KINDS)}"
                )


def largest_spark(made: Bench) -> tuple[Joules, str]:
    """Largest spark energy that the electrode bears, and why."""
    law = removal_law(made)
    electrode = made.rig.setup.electrode
    bore = bore_diameter(electrode)
    if bore > 0.0:
        wall: Metres = 0.5 * (electrode.diameter - bore)
        width = largest_crater_on_tube(wall)
        why = f"a crater of half the tube's wall of {printed_quantity(wall, 'm')}"
    else:
        width = largest_crater_on_rod(electrode.diameter, share=usual(made, "spark-size-rod"))
        why = f"a crater of a fifth of the rod's {printed_quantity(electrode.diameter, 'm')}"
    return float((width / law.width_scale) ** (1.0 / law.width_exponent)), why


def require_bearable(wish: Wish, made: Bench) -> None:
    """Refuse sparks too large for the electrode, and powers too large for the supply.

    Raises
    ------
    InputRefused
        If the energy or the power cannot be had.
    """
    most, why = largest_spark(made)
    if wish.energy_j > most:
        raise InputRefused(
            f"--energy must be at most {printed_quantity(most, 'J')} for this electrode ({why}), got "
            f"{printed_quantity(wish.energy_j, 'J')}; take a larger electrode or smaller sparks"
        )
    power, gives = wish.energy_j * wish.rate_hz, full_power(made.rig)
    if power > gives:
        raise InputRefused(
            f"--energy times --rate must be below what the supply gives, {printed_quantity(gives, 'W')}, got "
            f"{printed_quantity(power, 'W')}; ask for fewer or smaller sparks, or take a stronger supply"
        )


def full_power(rig: Rig) -> float:
    """Power that the supply gives at its limit [W]."""
    return rig.supply.voltage * rig.supply.current_limit
