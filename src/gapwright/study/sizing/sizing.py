"""Generators for a wanted spark: candidates of each kind, verified over tolerances, and ranked."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from gapwright.base.quantity import printed_quantity
from gapwright.base.units import Hertz, Joules, Number
from gapwright.rig.reading import rig_from_text
from gapwright.study.generator.generator_alone import generator_bench, seen_on, told
from gapwright.study.generator.scenes import SceneName
from gapwright.study.grounds.bands import banded
from gapwright.study.grounds.finding import Finding
from gapwright.study.grounds.outcome import Banded
from gapwright.study.grounds.remedies import REMEDIES
from gapwright.study.sizing.sizing_check import Row, checked, member_tasks, rig_text
from gapwright.study.sizing.sizing_flyback import flybacks
from gapwright.study.sizing.sizing_parts import CoilDesign, SenseDivider, TimerNumber
from gapwright.study.sizing.sizing_plan import as_rig
from gapwright.study.sizing.sizing_relaxation import relaxations
from gapwright.study.sizing.sizing_step_up import step_ups
from gapwright.study.sizing.sizing_stores import Candidate, PartLine, Unsuitable
from gapwright.study.sizing.sizing_wish import Wish, largest_spark, require_bearable

SCHEMA = 1
MAKERS = {"relaxation": relaxations, "step-up": step_ups, "flyback": flybacks}
NEAR = 0.25
"""Share by which the median spark energy may differ from the one wanted."""
FIRST = 3
"""Best candidates whose scenes are run and whose findings are told."""

ENDED_BY_FUSE = frozenset({("coil", "short"), ("gap", "short")})
"""What no part can be chosen for: a lasting short must be ended, and is told as a finding."""

Work = Callable[[Callable[..., list[Row]], Sequence[object]], list[list[Row]]]
"""Runs a function over tasks anywhere, and gives the answers in the tasks' order."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Verified:
    """A candidate with what the exact engine says of it over its tolerances."""

    rank: int
    kind: str
    meets: bool
    misses: tuple[str, ...]
    """What it does not give, in words."""
    energy_j: Banded
    rate_hz: Banded
    peak_current_a: Banded
    left_voltage_v: Banded
    duration_s: Banded
    arc_share: Banded
    coil_peak_a: Banded | None
    sparking_share: Number
    """Share of members that spark."""
    part_count: int
    largest_stress: Number
    """Largest share of a rating that a part is asked for, members included."""
    parts: tuple[PartLine, ...]
    coil: CoilDesign | None
    divider: SenseDivider
    timers: tuple[TimerNumber, ...]
    findings: tuple[Finding, ...]
    """Findings beyond their limits, of the best few."""
    rig_file: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Sizing:
    """Answer to a wish."""

    schema: int
    energy_j: Joules
    rate_hz: Hertz
    largest_energy_j: Joules
    largest_energy_because: str
    members: int
    seed: int
    candidates: tuple[Verified, ...]
    unsuitable: dict[str, str]
    """Kinds that cannot give it, and why."""


def sizing(wish: Wish, base: str, *, origin: str, members: int, seed: int, work: Work) -> Sizing:
    """Candidates of every kind asked for, verified and ranked.

    Parameters
    ----------
    wish
        What is wanted.
    base
        Text of the rig file whose supply, leads, electrode and liquid the generator is for.
    origin
        Name of that file in a refusal.
    members
        Draws of the tolerances for each candidate.
    seed
        Same seed, same answer.
    work
        Runs the members.

    Raises
    ------
    InputRefused
        If the electrode cannot bear the spark, or the supply cannot feed it.
    """
    made = generator_bench(rig_from_text(base, origin))
    require_bearable(wish, made)
    found: list[Candidate] = []
    unsuitable: dict[str, str] = {}
    for kind in dict.fromkeys(wish.kinds):
        try:
            of_kind = list(MAKERS[kind](wish, made))
            for each in of_kind:
                as_rig(each, made.rig)
        except Unsuitable as reason:
            unsuitable[kind] = str(reason)
            continue
        if not of_kind:
            unsuitable[kind] = "no preferred values give this energy without overshooting the store"
        found += of_kind
    texts = [rig_text(each, base, name=f"{each.kind} {n + 1}") for n, each in enumerate(found)]
    rows = _rows(texts, wish, members=members, seed=seed, work=work)
    drafts = [_verified(each, text, row, wish) for each, text, row in zip(found, texts, rows, strict=True)]
    most, because = largest_spark(made)
    return Sizing(
        schema=SCHEMA,
        energy_j=wish.energy_j,
        rate_hz=wish.rate_hz,
        largest_energy_j=most,
        largest_energy_because=because,
        members=members,
        seed=seed,
        candidates=_ranked(drafts),
        unsuitable=unsuitable,
    )


def _rows(texts: Sequence[str], wish: Wish, *, members: int, seed: int, work: Work) -> list[list[Row]]:
    """Figures of every member of every candidate."""
    tasks = member_tasks(texts, members=members, seed=seed, rate=wish.rate_hz)
    answers = work(checked, [task for _, task in tasks])
    rows: list[list[Row]] = [[] for _ in texts]
    for (number, _), answer in zip(tasks, answers, strict=True):
        rows[number] += answer
    return rows


def _verified(candidate: Candidate, text: str, rows: list[Row], wish: Wish) -> Verified:
    """One candidate and its members."""

    def band(name: str) -> Banded:
        return banded([row[name] for row in rows if name in row] or [float("nan")])

    energy, rate, peak = band("energy_j"), band("rate_hz"), band("peak_current_a")
    return Verified(
        rank=0,
        kind=candidate.kind,
        meets=False,
        misses=tuple(_misses(energy, rate, peak, wish)),
        energy_j=energy,
        rate_hz=rate,
        peak_current_a=peak,
        left_voltage_v=band("left_voltage_v"),
        duration_s=band("duration_s"),
        arc_share=band("arc_share"),
        coil_peak_a=band("coil_peak_a") if candidate.coil is not None else None,
        sparking_share=float(np.mean([row["rate_hz"] > 0.0 for row in rows])),
        part_count=len(candidate.parts),
        largest_stress=0.0,
        parts=candidate.parts,
        coil=candidate.coil,
        divider=candidate.divider,
        timers=candidate.timers,
        findings=(),
        rig_file=text,
    )


def _misses(energy: Banded, rate: Banded, peak: Banded, wish: Wish) -> list[str]:
    """What a candidate does not give."""
    found = []
    if energy.median is None or abs(energy.median / wish.energy_j - 1.0) > NEAR:
        got = printed_quantity(energy.median, "J") if energy.median is not None else "nothing"
        found.append(f"the spark has {got}")
    if rate.median is None or rate.median < wish.rate_hz:
        got = printed_quantity(rate.median or 0.0, "Hz")
        found.append(f"the rate is {got}")
    if wish.peak_a is not None and (peak.high is None or peak.high > wish.peak_a):
        got = printed_quantity(peak.high or 0.0, "A")
        found.append(f"the peak reaches {got}")
    return found


def _ranked(drafts: Sequence[Verified]) -> tuple[Verified, ...]:
    """Those that meet the wish first; among them by the sum of three places: efficiency, cost, margin."""
    judged = [_judged(each) for each in drafts]
    places = {id(each): 0 for each in judged}
    for key in (_efficiency, _cost, _stress):
        for place, each in enumerate(sorted(judged, key=key)):
            places[id(each)] += place
    ordered = sorted(judged, key=lambda each: (not each.meets, places[id(each)], each.rig_file))
    return tuple(_numbered(each, n + 1) for n, each in enumerate(ordered))


def _efficiency(each: Verified) -> float:
    return -(each.arc_share.median or 0.0)


def _cost(each: Verified) -> float:
    return each.part_count + each.largest_stress


def _stress(each: Verified) -> float:
    return each.largest_stress


def _judged(draft: Verified) -> Verified:
    """Run the scenes of a candidate: its ratings in the worst of them, and what goes beyond its limits."""
    made = generator_bench(rig_from_text(draft.rig_file, "candidate"))
    found = told(made, seen_on(made), scene=SceneName.SPARK).findings
    rated = [each for each in found if (each.part, each.quantity) in REMEDIES and each.margin is not None]
    wanted = [each for each in rated if (each.part, each.scene) not in ENDED_BY_FUSE]
    stress = max((1.0 - each.margin for each in wanted if each.margin is not None), default=0.0)
    beyond = tuple(each for each in found if not each.within)
    misses = draft.misses
    return replace(draft, largest_stress=stress, findings=beyond, meets=not misses)


def _numbered(each: Verified, rank: int) -> Verified:
    return replace(each, rank=rank, findings=each.findings if rank <= FIRST else ())
