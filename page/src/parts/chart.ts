// What the options of all charts have in common.

import type uPlot from "uplot";

export const token = (name: string) => getComputedStyle(document.documentElement).getPropertyValue(`--${name}`).trim();
export const letter = () => Number.parseFloat(getComputedStyle(document.documentElement).fontSize);

/** An axis without marks, its numbers in our hand; levels are ruled, times are not. */
export function axis(values: uPlot.Axis.Values, size: number, space: number, ruled: boolean): uPlot.Axis {
  return {
    stroke: token("quiet"),
    font: `${0.8125 * letter()}px Commissioner Variable, sans-serif`,
    ticks: { show: false },
    grid: ruled ? { stroke: token("line"), width: 1 } : { show: false },
    values,
    size: size * letter(),
    space: space * letter(),
  };
}
