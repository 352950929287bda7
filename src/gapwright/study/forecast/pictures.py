"""What the figures of a forecast need, from its drillings and its circuit."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from gapwright.circuit.control.ignition import Threshold
from gapwright.circuit.engine.engine import Window, run
from gapwright.circuit.stages.generators import GAP, STORE
from gapwright.hole.shape import with_edge
from gapwright.study.drilling.one_member import MemberResult
from gapwright.study.generator.network import network, switched_on
from gapwright.study.grounds import _drilling_state as state
from gapwright.study.grounds.assemble import Bench
from gapwright.study.grounds.bands import HIGH, LOW
from gapwright.study.grounds.outcome import Pictures

SLICES = 1500
POINTS = 200
SPARKS = 4


def pictures(made: Bench, fine: MemberResult, coarse: Sequence[MemberResult]) -> Pictures:
    """Arrays behind the figures of a forecast.

    Parameters
    ----------
    made
        Rig and job with their facts.
    fine
        The drilling shown: every constant at its median, spark by spark.
    coarse
        The members that give the bands.
    """
    done = fine.course
    times, store, gap, current = _few_sparks(made, fine)
    depth_times, depths = _depth_band(coarse or [fine])
    plane = float(done.numbers[state.DEPTH])
    hole = with_edge(*done.work, made.job.workpiece.thickness)
    return Pictures(
        spark_time_s=times,
        store_volts=store,
        gap_volts=gap,
        gap_amperes=current,
        depth_time_s=depth_times,
        depth_m=depths,
        hole_radius_m=hole[0],
        hole_depth_m=hole[1],
        electrode_radius_m=done.tool[0],
        electrode_depth_m=plane - done.tool[1],
        new_electrode_radius_m=done.new_tool[0],
        new_electrode_depth_m=plane - done.new_tool[1],
        spark_energy_j=done.log[:, 2],
        thickness_m=made.job.workpiece.thickness,
        wanted_diameter_m=made.job.hole.diameter,
        wanted_tolerance_m=made.job.hole.tolerance,
    )


def _few_sparks(made: Bench, fine: MemberResult) -> tuple[NDArray[np.float64], ...]:
    """Voltages and current over a few sparks at the median breakdown voltage, by the exact engine."""
    log = fine.course.log
    usual = log[log[:, 2] > 0.0]
    volts = float(np.median(usual[:, 1])) if len(usual) else 0.85 * made.ceiling
    cycle = fine.course.time / max(fine.course.sparks, 1)
    netlist, control = network(made)
    span = min(max(SPARKS * cycle, 20e-6), 0.5)
    ran = run(
        netlist,
        control,
        3.0 * span,
        ignition=Threshold(volts=volts),
        record=Window(start=span, stop=3.0 * span),
        initial=switched_on(netlist),
    )
    stop = _end_of_window(ran.sparks["time_s"], span, 3.0 * span)
    waves = [ran.waveform(what, part, start=span, stop=stop, slices=SLICES) for what, part in WAVES]
    store, gap, current = ((wave.low, wave.high) for wave in waves)
    times = np.repeat(waves[0].times, 2) - span
    return times, _laced(*store), _laced(*gap), _laced(*current)


WAVES = (("volts", STORE), ("volts", GAP), ("amperes", GAP))


def _end_of_window(sparks: NDArray[np.float64], start: float, stop: float) -> float:
    """End of a window from `start` that holds about `SPARKS` sparks."""
    inside = sparks[sparks > start]
    if len(inside) <= SPARKS:
        return stop
    return float(inside[SPARKS - 1] + 0.5 * (inside[SPARKS] - inside[SPARKS - 1]))


def _laced(low: NDArray[np.float64], high: NDArray[np.float64]) -> NDArray[np.float64]:
    """Lowest and highest of each slice in turn, so that a line through them loses no peak."""
    return np.column_stack((low, high)).ravel()


def _depth_band(results: Sequence[MemberResult]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Depth against time: low, median and high over members; each stays where it ended."""
    ends = np.array([r.course.trace[-1, 0] for r in results if len(r.course.trace)])
    if len(ends) == 0:
        return np.zeros(2), np.zeros((3, 2))
    last = float(np.quantile(ends, HIGH, method="inverted_cdf"))
    times = np.linspace(0.0, last, POINTS)
    depths = np.array(
        [np.interp(times, r.course.trace[:, 0], r.course.trace[:, 1]) for r in results if len(r.course.trace)]
    )
    return times, np.quantile(depths, [LOW, 0.5, HIGH], axis=0, method="inverted_cdf")
