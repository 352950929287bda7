"""What the reader of a capture knows beforehand; everything else is read from the capture itself."""

from dataclasses import dataclass
from typing import Literal

from gapwright.base.checks import require_positive
from gapwright.base.errors import InputRefused
from gapwright.base.units import Amperes, Farads, Henries, Hertz, Seconds, Volts

GeneratorForm = Literal["capacitor", "pulse"]
"""A store that fires when the gap breaks down, or voltage offered for a fixed time."""

MOST_THREADS = 64


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingSettings:
    """Levels and parts that are given; None means: found in the capture."""

    generator: GeneratorForm | None = None
    open_voltage: Volts | None = None
    burning_voltage: Volts | None = None
    voltage_noise: Volts | None = None
    current_noise: Amperes | None = None
    time_constant: Seconds | None = None
    """In which a capacitor charges."""
    on_time: Seconds | None = None
    """For which a pulse generator offers voltage."""
    capacitance: Farads | None = None
    """Of the store; gives charge and energy where no current was recorded."""
    inductance: Henries | None = None
    """Of the discharge loop."""
    turning: Hertz | None = None
    """How often the spindle turns in a second, to tell its mark among periodicities."""
    dry: bool = False
    """A rig that sparks in air at low voltage, where most sparks begin with a touch."""
    threads: int = 1
    window: Seconds | None = None
    """Length of the windows of the statistics; None gives a hundred windows."""

    def __post_init__(self) -> None:
        """Refuse values that are not above 0, and levels that cross."""
        units = {
            "open_voltage": "V", "burning_voltage": "V", "voltage_noise": "V", "current_noise": "A",
            "time_constant": "s", "on_time": "s", "capacitance": "F", "inductance": "H", "window": "s",
            "turning": "Hz",
        }  # fmt: skip
        for name, unit in units.items():
            value = getattr(self, name)
            if value is not None:
                require_positive(name, value, unit)
        if not 1 <= self.threads <= MOST_THREADS:
            raise InputRefused(f"threads must be between 1 and {MOST_THREADS}, got {self.threads}")
        if self.generator not in (None, "capacitor", "pulse"):
            raise InputRefused(f'generator must be "capacitor" or "pulse", got {self.generator!r}')
        top, burning = self.open_voltage, self.burning_voltage
        if top is not None and burning is not None and top <= burning:
            raise InputRefused(
                f"open_voltage must be above burning_voltage ({burning:g} V), got {top:g} V; swap them"
            )


AS_FOUND = ReadingSettings()
"""Nothing is given."""
