"""What a forecast answers, as records.

Field names are the keys of ``gapwright forecast --json``; they end in the SI
unit. `Pictures` holds what the figures need and is not part of that document.
"""

from dataclasses import dataclass, field
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

Curve = NDArray[np.float64]


class Role(StrEnum):
    """How a ledger line enters the balance."""

    IN = "in"
    OUT = "out"
    STORED = "stored"
    OF_WHICH = "of_which"


class Degree(StrEnum):
    """How grave a caution is."""

    NOTE = "note"
    CARE = "care"
    DANGER = "danger"


@dataclass(frozen=True, slots=True, kw_only=True)
class Banded:
    """A number with its band: 5th and 95th percentile over members.

    A member that did not finish counts as infinite and is given as None.
    """

    median: float | None
    low: float | None
    high: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ClassShare:
    """How often one class of discharge occurred, and its share of time."""

    count: int
    time_share: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Sparks:
    """Statistics of the discharges of the median member."""

    count: Banded
    rate_hz: Banded
    energy_j: Banded
    classes: dict[str, ClassShare]


@dataclass(frozen=True, slots=True, kw_only=True)
class Hole:
    """Size of the hole."""

    entry_diameter_m: Banded
    exit_diameter_m: Banded
    taper_rad: Banded
    depth_m: Banded
    overcut_m: Banded
    practice_overcut_m: Banded


@dataclass(frozen=True, slots=True, kw_only=True)
class ElectrodeUse:
    """What one hole costs of the electrode."""

    wear_length_m: Banded
    volume_wear_ratio: Banded


@dataclass(frozen=True, slots=True, kw_only=True)
class Finish:
    """Roughness and recast layer of the wall."""

    ra_m: Banded
    vdi_3400_class: Banded
    recast_m: Banded


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """What a plain meter should show when all is well, and what a wrong reading means."""

    name: str
    median: float | None
    low: float | None
    high: float | None
    unit: str
    if_low: str
    if_high: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Account:
    """One line of the ledger; `share` is of the socket's energy."""

    stage: str
    account: str
    role: Role
    energy_j: float
    share: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Ledger:
    """Account of energy from socket to chip over one drilling.

    `balance_error` is (in - out - change of stored) / max(in, initially stored).
    """

    duration_s: float
    balance_error: float
    accounts: tuple[Account, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """A safety remark with the limit that raised it and where the limit comes from."""

    degree: Degree
    text: str
    limit: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Excess:
    """A law used outside its stated range, and how far."""

    law: str
    how_far: str


@dataclass(frozen=True, slots=True, kw_only=True)
class GapLoop:
    """How firmly the controller holds the gap.

    `product` is gain times slope times lag: calm to 0.52, unstable from π/2.
    The slope is that of mean gap voltage, as a share of the open one, against
    gap; `step_hazard_ratio` is what one step of the axis makes of the hazard.
    """

    product: float
    gain_m_per_s: float
    slope_per_m: float
    lag_s: float
    working_gap_m: float
    step_hazard_ratio: float
    calm_gain_m_per_s: float
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RowHole:
    """One hole of a row drilled with one electrode; lengths count from where it touched off for it."""

    hole: int
    finished_share: float
    time_s: Banded
    entry_diameter_m: Banded
    exit_diameter_m: Banded
    wear_length_m: Banded
    """By how much the next hole begins lower: the wear to compensate."""
    feed_m: Banded
    """Way from touching off to the end of the hole, wear included."""
    point_length_m: Banded
    """Length over which the worn end is thinner than the electrode."""
    electrode_left_m: Banded
    """What the hole leaves of the length that stands free; set anew where it did not last for the hole."""
    dressed: bool
    """Whether the end is cut square after this hole, where another one follows."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HoleRow:
    """Holes one after another with one electrode, and what all holes of the job cost.

    Followed holes are simulated, the rest are like the last of them, or like the last at
    the same place after a dressing. `dress_after` is the number of holes after which to
    cut the end square: the job's where it gives one (`dress_planned`), else what the row
    advises; None where that gains nothing. `total_time_s` counts all: drilling, touching
    off before each hole, moving on, dressing and new electrodes.
    """

    count: int
    members: int
    holes: tuple[RowHole, ...]
    total_time_s: Banded
    drilling_time_s: Banded
    touching_off_time_s: float
    moving_time_s: float
    dressing_time_s: Banded
    changing_time_s: Banded
    total_electrode_m: Banded
    holes_per_electrode: Banded
    electrodes: Banded
    dress_after: int | None
    dress_planned: bool
    dressings: Banded
    dressing_length_m: float | None
    words: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Pictures:
    """What the figures of a forecast need; arrays in SI units."""

    spark_time_s: Curve
    """(n,) time axis of a few sparks."""
    store_volts: Curve
    """(n,) voltage across the store."""
    gap_volts: Curve
    """(n,) voltage across the gap."""
    gap_amperes: Curve
    """(n,) current through the gap."""
    depth_time_s: Curve
    """(m,) time axis of the depth curves."""
    depth_m: Curve
    """(3, m) depth of the hole: low, median, high; NaN once a member has ended."""
    hole_radius_m: Curve
    """(k,) radius of the hole's surface, from the axis outwards and up."""
    hole_depth_m: Curve
    """(k,) depth below the entry face of the same points."""
    electrode_radius_m: Curve
    """(j,) radius of the worn electrode's surface."""
    electrode_depth_m: Curve
    """(j,) depth below the entry face of the same points."""
    new_electrode_radius_m: Curve
    new_electrode_depth_m: Curve
    spark_energy_j: Curve
    """(s,) gap energies of a sample of sparks."""
    thickness_m: float
    wanted_diameter_m: float
    wanted_tolerance_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Forecast:
    """What the rig will do with the job, with bands."""

    schema: int
    rig: str
    job: str
    seed: int
    members: int
    calibrated: bool
    verdict: str
    gets_through: bool
    limited_by: str
    ignition: str
    finished_share: float
    through_share: float
    ended: dict[str, float]
    time_s: Banded
    removal_rate_m3_per_s: Banded
    specific_energy_j_per_m3: Banded
    sparks: Sparks
    hole: Hole
    electrode: ElectrodeUse
    finish: Finish
    expected_readings: dict[str, Reading]
    ledger: Ledger
    cautions: tuple[Caution, ...]
    gap_loop: GapLoop | None = None
    ignition_in_a_liquid: str = ""
    """What a liquid would change, for a rig that has none."""
    row: HoleRow | None = None
    """Several holes with one electrode, where they were asked for."""
    outside_range: tuple[Excess, ...] = ()
    remarks: tuple[str, ...] = field(default=())
