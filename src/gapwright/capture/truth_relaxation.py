"""True courses of capacitor generators: charged through a resistor or pumped up, fired by the gap."""

from dataclasses import dataclass, field

import numpy as np

from gapwright.capture.classify import CLASS_NAMES
from gapwright.capture.truth import TRUE_SPARK, Piece, Truth, burn_energy, sampled

NORMAL, PARTIAL, TRANSIENT, STATIONARY, SHORT, OPEN, CONTACT = (
    CLASS_NAMES.index(name)
    for name in ("normal", "partial", "transient arc", "stationary arc", "short", "open", "contact")
)

LEAST_BURST = 8
"""A stationary arc is at least so many arcs in a row."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CapacitorCourse:
    """A capacitor generator and how its gap behaves."""

    open_voltage: float = 80.0
    burning_voltage: float = 22.0
    burning_spread: float = 0.03
    """Spread of the burning voltage from spark to spark, as a share."""
    capacitance: float = 1e-6
    time_constant: float = 40e-6
    """Of charging; for a pump the time from empty to open."""
    pump: bool = False
    spark_time: float = 6e-6
    """How long the current of a spark flows."""
    shape: str = "half sine"
    swing: float = 0.6
    """How far the capacitor swings below the burning voltage, of how far it was above."""
    ripple: float = 0.6
    contact_voltage: float = 0.4
    contact_resistance: float = 0.004
    shares: dict[str, float] = field(
        default_factory=lambda: {"spark": 0.87, "arc": 0.07, "burst": 0.01, "short": 0.025, "open": 0.025}
    )
    spread: tuple[float, float] = (2.2, 1.0)
    """Shape of the breakdown voltages of good and partial sparks: a beta law from 0.15 to 0.995."""


@dataclass(slots=True, kw_only=True)
class _Writer:
    course: CapacitorCourse
    rng: np.random.Generator
    now: float = 0.0
    volts: float = 0.0
    pieces: list[Piece] = field(default_factory=list)
    rows: list[tuple[float, ...]] = field(default_factory=list)

    def charge_to(self, target: float) -> float:
        """Charge until the target is reached; give the time it took."""
        c = self.course
        start = max(self.volts, 0.0) if c.pump else self.volts
        if c.pump:
            took = max(target**2 - start**2, 0.0) / c.open_voltage**2 * c.time_constant
        else:
            took = c.time_constant * np.log((c.open_voltage - start) / (c.open_voltage - target))
        took = max(float(took), 0.2 * c.spark_time)
        self.add(
            Piece(
                "pump" if c.pump else "charge",
                self.now,
                self.now + took,
                start,
                c.open_voltage,
                c.time_constant,
            )
        )
        self.volts = target
        return took

    def add(self, piece: Piece) -> None:
        self.pieces.append(piece)
        self.now = piece.end

    def fire(self, code: int, delay: float, *, shorted: bool = False) -> None:
        """Discharge from the present voltage; a shorted gap burns at the contact voltage."""
        c = self.course
        level = (
            c.contact_voltage
            if shorted
            else c.burning_voltage * (1 + c.burning_spread * self.rng.standard_normal())
        )
        resistance = c.contact_resistance if shorted else 0.0
        left = level - c.swing * (self.volts - level)
        unit = Piece(
            "burn", self.now, self.now + c.spark_time, level, 0.0, 0.0, 1.0, resistance, 0.0, c.shape
        )
        peak = c.capacitance * (self.volts - left) / burn_energy(unit._replace(first=1.0, resistance=0.0))[0]
        piece = unit._replace(peak=peak, ripple=0.0 if shorted else c.ripple)
        charge, energy = burn_energy(piece)
        self.rows.append((self.now, piece.end, delay, self.volts, level, peak, charge, energy, code))
        self.add(piece)
        self.volts = left

    def share(self, w: float) -> float:
        """Voltage at a share between burning and open."""
        c = self.course
        return c.burning_voltage + w * (c.open_voltage - c.burning_voltage)

    def spark(self) -> None:
        w = 0.15 + 0.845 * self.rng.beta(*self.course.spread)
        self.fire(NORMAL if w >= 0.6 else PARTIAL, self.charge_to(self.share(w)))

    def arc(self, code: int) -> None:
        self.fire(code, self.charge_to(self.share(self.rng.uniform(0.09, 0.145))))

    def short(self) -> None:
        took = self.charge_to(self.share(self.rng.uniform(0.1, 0.9)))
        self.fire(SHORT, took, shorted=True)
        stay = self.course.time_constant * self.rng.uniform(5.0, 40.0)
        self.add(Piece("level", self.now, self.now + stay, self.course.contact_voltage, 0.0, 0.0))
        self.rows[-1] = (*self.rows[-1][:1], self.now, *self.rows[-1][2:])
        self.volts = self.course.contact_voltage

    def contact(self) -> None:
        """A touch whose bridge blows at once."""
        self.fire(CONTACT, self.charge_to(self.share(self.rng.uniform(0.1, 0.9))), shorted=True)

    def wait(self) -> None:
        """Charge fully and stay open for long, then spark."""
        c = self.course
        took = self.charge_to(self.share(0.995))
        stay = c.time_constant * self.rng.uniform(15.0, 60.0)
        begin = self.now
        self.add(Piece("level", self.now, self.now + stay, self.volts, 0.0, 0.0))
        self.rows.append((begin, self.now, took, self.volts, 0.0, 0.0, 0.0, 0.0, OPEN))
        self.fire(NORMAL, took + stay)


def capacitor_truth(course: CapacitorCourse, *, count: int, rate: float, rng: np.random.Generator) -> Truth:
    """Truth of about `count` turns of charging and firing, at a sampling rate in hertz."""
    writer = _Writer(course=course, rng=rng)
    names = list(course.shares)
    weights = np.array([course.shares[name] for name in names])
    for turn in rng.choice(len(names), size=count, p=weights / weights.sum()):
        name = names[turn]
        if name == "spark":
            writer.spark()
        elif name == "arc":
            writer.arc(TRANSIENT)
            writer.spark()
        elif name == "burst":
            for _ in range(int(rng.integers(LEAST_BURST, 40))):
                writer.arc(STATIONARY)
        elif name == "short":
            writer.short()
        elif name == "contact":
            writer.contact()
        else:
            writer.wait()
    writer.charge_to(writer.share(0.5))
    voltage, current = sampled(writer.pieces, rate=rate, rng=rng)
    return Truth(voltage=voltage, current=current, rate=rate, events=np.array(writer.rows, dtype=TRUE_SPARK))
