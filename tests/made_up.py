"""A made-up but complete forecast, so that faces are tested without a drilling."""

import numpy as np

from gapwright.study.forecast.comparison import COMPARED, Clock, Comparison, DepthBand, difference
from gapwright.study.grounds.outcome import (
    Account,
    Banded,
    Caution,
    ClassShare,
    Degree,
    ElectrodeUse,
    Excess,
    Finish,
    Forecast,
    Hole,
    Ledger,
    Pictures,
    Reading,
    Role,
    Sparks,
)

DURATION = 96.0

WATTS = (
    ("socket", "from the socket", Role.IN, 17.9),
    ("supply", "conversion", Role.OUT, 2.8),
    ("supply", "idling", Role.OUT, 4.1),
    ("charger", "charging resistor", Role.OUT, 4.62),
    ("store", "capacitor loss", Role.OUT, 0.11),
    ("store", "still in the store", Role.STORED, 1.1e-5),
    ("leads", "leads", Role.OUT, 0.52),
    ("leads", "sliding contact", Role.OUT, 0.31),
    ("gap", "leakage through the water", Role.OUT, 0.74),
    ("gap", "shorts", Role.OUT, 0.58),
    ("spark", "electrode", Role.OUT, 1.02),
    ("spark", "liquid and debris", Role.OUT, 1.43),
    ("metal", "workpiece", Role.OUT, 1.67 - 1.1e-5),
    ("metal", "melting the removed metal", Role.OF_WHICH, 0.042),
    ("auxiliaries", "spindle, machine and pump", Role.IN, 38.0),
    ("auxiliaries", "spindle", Role.OUT, 12.0),
    ("auxiliaries", "machine", Role.OUT, 18.0),
    ("auxiliaries", "pump", Role.OUT, 8.0),
)

SOCKET_WATTS = 17.9 + 38.0


def ledger() -> Ledger:
    """An account that closes."""
    return Ledger(
        duration_s=DURATION,
        balance_error=2.3e-13,
        accounts=tuple(
            Account(stage=stage, account=account, role=role, energy_j=w * DURATION, share=w / SOCKET_WATTS)
            for stage, account, role, w in WATTS
        ),
    )


def banded(median: float | None, low: float | None, high: float | None) -> Banded:
    """A band in one line."""
    return Banded(median=median, low=low, high=high)


CAUTIONS = (
    Caution(
        degree=Degree.DANGER,
        text="The open gap reaches 70 V: a wet hand across electrode and workpiece can get a shock; "
        "keep hands out of the liquid while the supply is on",
        limit="30 V d.c. for wet rigs, 60 V dry",
        source="common practice, no source",
    ),
    Caution(
        degree=Degree.CARE,
        text="After switching off, the store takes 0.9 s to fall below the touch voltage",
        limit="5 s at most, 1 s where it can be reached",
        source="common practice, no source",
    ),
    Caution(
        degree=Degree.NOTE,
        text="Do not leave the rig running unattended",
        limit="always",
        source="common practice, no source",
    ),
)

READINGS = {
    "supply_current_a": Reading(
        name="supply current",
        median=0.156,
        low=0.131,
        high=0.189,
        unit="A",
        if_low="the gap stands open: look at the feed and the set point",
        if_high="the gap is shorted or the water conducts: lift, flush, measure the water",
    ),
    "mean_gap_voltage_v": Reading(
        name="mean gap voltage through 10 kΩ and 1 µF",
        median=42.0,
        low=38.0,
        high=47.0,
        unit="V",
        if_low="shorts or leakage",
        if_high="open gap",
    ),
    "charge_cycles_hz": Reading(
        name="charger cycles per second",
        median=3600.0,
        low=2500.0,
        high=4700.0,
        unit="Hz",
        if_low="few sparks: gap too wide",
        if_high="early sparks: debris in the gap",
    ),
    "liquid_conductivity_siemens_per_m": Reading(
        name="conductivity of the water",
        median=5e-4,
        low=None,
        high=2e-3,
        unit="S/m",
        if_low="nothing: purer is better",
        if_high="the entry comes out bell-mouthed: change the water",
    ),
}


def forecast(*, name: str = "first-build", gets_through: bool = True) -> Forecast:
    """A complete forecast; the other one gives up."""
    return Forecast(
        schema=1,
        rig=name,
        job="nozzle-plate",
        seed=7,
        members=64,
        calibrated=False,
        verdict="Gets through in about 1.6 minutes; the hole comes out in tolerance."
        if gets_through
        else "Does not get through: most sparks are shorts and the electrode stalls at 0.4 mm.",
        gets_through=gets_through,
        limited_by="charging resistor: the store waits for current",
        ignition="The voltage of the store breaks down the water over about 9 µm",
        finished_share=0.94,
        through_share=0.92 if gets_through else 0.0,
        ended={"through": 0.92, "starved": 0.06, "only shorts": 0.02},
        time_s=banded(96.0, 61.0, 158.0) if gets_through else banded(None, 214.0, None),
        removal_rate_m3_per_s=banded(4.4e-12, 2.6e-12, 7.0e-12),
        specific_energy_j_per_m3=banded(4.1e12, 2.4e12, 6.9e12),
        sparks=Sparks(
            count=banded(345_600.0, 250_000.0, 470_000.0),
            rate_hz=banded(3600.0, 2900.0, 4100.0),
            energy_j=banded(1.02e-3, 0.82e-3, 1.21e-3),
            classes={
                "normal": ClassShare(count=290_000, time_share=0.021),
                "partial": ClassShare(count=41_000, time_share=0.002),
                "short": ClassShare(count=2_100, time_share=0.034),
                "open": ClassShare(count=0, time_share=0.943),
            },
        ),
        hole=Hole(
            entry_diameter_m=banded(0.583e-3, 0.566e-3, 0.604e-3),
            exit_diameter_m=banded(0.557e-3, 0.541e-3, 0.575e-3),
            taper_rad=banded(0.0087, 0.0041, 0.0136),
            depth_m=banded(1.5e-3, 1.5e-3, 1.5e-3),
            overcut_m=banded(33e-6, 26e-6, 42e-6),
            practice_overcut_m=banded(35e-6, 25e-6, 50e-6),
        ),
        electrode=ElectrodeUse(
            wear_length_m=banded(0.72e-3, 0.41e-3, 1.23e-3), volume_wear_ratio=banded(0.28, 0.17, 0.45)
        ),
        finish=Finish(
            ra_m=banded(2.4e-6, 1.7e-6, 3.3e-6),
            vdi_3400_class=banded(28.0, 25.0, 30.0),
            recast_m=banded(9e-6, 5e-6, 16e-6),
        ),
        expected_readings=READINGS,
        ledger=ledger(),
        cautions=CAUTIONS,
        outside_range=(
            Excess(
                law="removal per spark",
                how_far="spark energy 1.02 mJ, 2 % above the range of the data (1 mJ)",
            ),
        ),
        remarks=("Uncalibrated: every constant is a prior from published data or common practice.",),
    )


def wear_profile(radius: np.ndarray, corner: float) -> np.ndarray:
    """Depth of a worn tube's end below its foremost point."""
    inner, outer = radius[0], radius[-1]
    edge = np.minimum(radius - inner, outer - radius)
    return corner * np.exp(-edge / (0.25 * (outer - inner)))


def pictures() -> Pictures:
    """Curves such as a drilling would leave."""
    rng = np.random.default_rng(3)
    t = np.linspace(0.0, 1.4e-3, 900)
    period = 2.8e-4
    phase = np.mod(t, period)
    store = 22.0 + 48.0 * (1.0 - np.exp(-phase / 1.2e-4))
    spark = (phase < 4e-6) & (t > period / 2)
    gap = np.where(spark, 24.0, store)
    amperes = np.where(spark, 31.0 * np.sin(np.pi * phase / 4e-6), 0.0)
    end = np.array([158.0, 96.0, 61.0])
    time = np.linspace(0.0, 170.0, 240)
    depth = np.array([np.where(time <= e, 1.5e-3 * (time / e) ** 0.93, np.nan) for e in end])
    hole_depth = np.concatenate([np.linspace(1.5e-3, 0.0, 60)])
    hole_radius = 0.2785e-3 + (0.2915e-3 - 0.2785e-3) * (1.0 - hole_depth / 1.5e-3) ** 2
    electrode_radius = np.linspace(0.1e-3, 0.25e-3, 40)
    return Pictures(
        spark_time_s=t,
        store_volts=store,
        gap_volts=gap,
        gap_amperes=amperes,
        depth_time_s=time,
        depth_m=depth,
        hole_radius_m=hole_radius,
        hole_depth_m=hole_depth,
        electrode_radius_m=electrode_radius,
        electrode_depth_m=1.75e-3 - wear_profile(electrode_radius, 0.12e-3),
        new_electrode_radius_m=np.array([0.1e-3, 0.25e-3]),
        new_electrode_depth_m=np.array([2.47e-3, 2.47e-3]),
        spark_energy_j=np.minimum(1e-3 * rng.beta(6.0, 1.4, 3000) * 1.25, 1.3e-3),
        thickness_m=1.5e-3,
        wanted_diameter_m=0.58e-3,
        wanted_tolerance_m=0.04e-3,
    )


def comparison() -> Comparison:
    """Two made-up rigs on one clock; the second is the faster."""
    time = np.linspace(0.0, 158.0, 50)

    def depths(end: float) -> DepthBand:
        low, median, high = (
            tuple(float(z) for z in 1.5e-3 * np.minimum(time / (end * slower), 1.0))
            for slower in (1.6, 1.0, 0.7)
        )
        return DepthBand(low_m=low, median_m=median, high_m=high)

    pairs = {"time_s": ([90.0, 96.0, 158.0], [45.0, 50.0, 60.0])}
    return Comparison(
        schema=1,
        sentence="second build takes 0.5 times as long as first build.",
        first=forecast(),
        second=forecast(name="second-build"),
        differences={
            key: difference(*pairs.get(key, ([1e-3, 2e-3, 4e-3], [1e-3, 3e-3, 5e-3])), better=-1)
            for key in COMPARED
        },
        clock=Clock(
            time_s=tuple(float(t) for t in time),
            first=depths(96.0),
            second=depths(50.0),
            wanted_depth_m=1.5e-3,
        ),
    )
