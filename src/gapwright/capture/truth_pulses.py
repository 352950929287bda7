"""True courses of pulse generators: voltage offered for a fixed time, current held while the gap burns."""

from dataclasses import dataclass, field

import numpy as np

from gapwright.capture.classify import CLASS_NAMES, LATE_BURN, LATE_FROM
from gapwright.capture.truth import TRUE_SPARK, Piece, Truth, burn_energy, sampled
from gapwright.capture.truth_relaxation import LEAST_BURST

NORMAL, TRANSIENT, STATIONARY, SHORT, OPEN = (
    CLASS_NAMES.index(name) for name in ("normal", "transient arc", "stationary arc", "short", "open")
)


@dataclass(frozen=True, slots=True, kw_only=True)
class PulseCourse:
    """A pulse generator and how its gap behaves."""

    open_voltage: float = 100.0
    burning_voltage: float = 24.0
    burning_spread: float = 0.03
    on_time: float = 50e-6
    off_time: float = 30e-6
    current: float = 6.0
    rise: float = 0.6e-6
    """Time constant of the current's rise."""
    mean_delay: float = 12e-6
    formative: float = 1.5e-6
    """Least delay of a good spark."""
    ripple: float = 1.5
    quiet_ripple: float = 0.1
    """Unrest of a stationary arc."""
    arc_sag: float = 0.15
    """How much lower a stationary arc burns, as a share."""
    short_voltage: float = 1.5
    shares: dict[str, float] = field(
        default_factory=lambda: {"pulse": 0.86, "arc": 0.05, "burst": 0.008, "short": 0.04}
    )


@dataclass(slots=True, kw_only=True)
class _Writer:
    course: PulseCourse
    rng: np.random.Generator
    now: float = 0.0
    pieces: list[Piece] = field(default_factory=list)
    rows: list[tuple[float, ...]] = field(default_factory=list)

    def pulse(self, code: int, delay: float, level: float, ripple: float) -> None:
        """One pulse: open until `delay`, then burning at `level` until the end; then the pause."""
        c = self.course
        on, off = self.now, self.now + c.on_time
        fires = on + delay
        if delay > 0:
            self.pieces.append(Piece("level", on, min(fires, off), c.open_voltage, 0.0, 0.0))
        if fires < off:
            piece = Piece("burn", fires, off, level, 0.0, c.rise, c.current, 0.0, ripple, "plateau")
            charge, energy = burn_energy(piece)
            self.pieces.append(piece)
            before = c.open_voltage if delay > 0 else level
            late = delay > LATE_FROM * c.on_time and off - fires < LATE_BURN * c.on_time
            row = (fires, off, delay, before, level, c.current, charge, energy, OPEN if late else code)
            self.rows.append(row)
        else:
            self.rows.append((on, off, np.nan, c.open_voltage, 0.0, 0.0, 0.0, 0.0, OPEN))
        self.now = off + c.off_time
        self.pieces.append(Piece("level", off, self.now, 0.0, 0.0, 0.0))

    def level(self, share: float = 1.0) -> float:
        c = self.course
        return c.burning_voltage * share * (1 + c.burning_spread * self.rng.standard_normal())

    def one(self, name: str) -> None:
        c, rng = self.course, self.rng
        if name == "pulse":
            delay = c.formative + rng.exponential(c.mean_delay)
            self.pulse(NORMAL, delay, self.level(), c.ripple)
        elif name == "arc":
            self.pulse(TRANSIENT, 0.0, self.level(), c.ripple)
        elif name == "short":
            self.pulse(SHORT, 0.0, c.short_voltage, 0.0)
        else:
            for _ in range(int(rng.integers(LEAST_BURST, 40))):
                self.pulse(STATIONARY, 0.0, self.level(1.0 - c.arc_sag), c.quiet_ripple)


def pulse_truth(course: PulseCourse, *, count: int, rate: float, rng: np.random.Generator) -> Truth:
    """Truth of about `count` pulses or bursts, at a sampling rate in hertz."""
    writer = _Writer(course=course, rng=rng, now=course.off_time)
    writer.pieces.append(Piece("level", 0.0, course.off_time, 0.0, 0.0, 0.0))
    names = list(course.shares)
    weights = np.array([course.shares[name] for name in names])
    for turn in rng.choice(len(names), size=count, p=weights / weights.sum()):
        writer.one(names[turn])
    voltage, current = sampled(writer.pieces, rate=rate, rng=rng)
    return Truth(voltage=voltage, current=current, rate=rate, events=np.array(writer.rows, dtype=TRUE_SPARK))
