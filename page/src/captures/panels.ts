// Panels of a capture over one time: each channel from its least to its greatest value.

import type { Columns } from "../server/captures";

export interface Panel {
  name: string;
  unit: string;
  least: ArrayLike<number>;
  greatest: ArrayLike<number>;
  top: number;
  height: number;
  low: number;
  high: number;
}

export interface Range {
  quantity: string;
  low: number;
  high: number;
}

const TALL: Record<string, number> = { voltage: 9.5, current: 6.5 };
const UNITS: Record<string, string> = { voltage: "V", current: "A" };

/** Panels one below the other, those of the channels there are. */
export function panelsOf(columns: Columns["columns"], channels: Range[], letter: number): Panel[] {
  let top = 0.8 * letter;
  return channels.flatMap(({ quantity, low, high }) => {
    const unit = UNITS[quantity] ?? "";
    const least = columns[`${quantity}_least_${unit.toLowerCase()}`];
    const greatest = columns[`${quantity}_greatest_${unit.toLowerCase()}`];
    if (!least || !greatest) return [];
    const height = (TALL[quantity] ?? 6) * letter;
    const name = quantity === "voltage" ? "gap voltage" : quantity;
    const panel = { name, unit, least, greatest, top, height, low, high };
    top += height + 1.3 * letter;
    return [panel];
  });
}

/** Height of a value in a panel. */
export const levelOf = (panel: Panel, value: number) => panel.top + panel.height * (1 - (value - panel.low) / (panel.high - panel.low));

/** The columns of a window: when each begins and ends. */
export interface Times {
  left: ArrayLike<number>;
  right: ArrayLike<number>;
}

/** Runs of columns without a gap in time between them: first column, and the one after the last. */
function runs(at: Times): [number, number][] {
  const found: [number, number][] = [];
  let first = 0;
  for (let i = 1; i <= at.left.length; i++) {
    const width = (at.right[i - 1] ?? 0) - (at.left[i - 1] ?? 0);
    if (i === at.left.length || (at.left[i] ?? 0) - (at.right[i - 1] ?? 0) > 0.5 * width) {
      found.push([first, i]);
      first = i;
    }
  }
  return found;
}

/** The area between least and greatest, or the line through single samples; broken where nothing was recorded. */
export function swath(panel: Panel, at: Times, px: (time: number) => number, single: boolean): string {
  const y = (value: number | undefined) => levelOf(panel, value ?? 0).toFixed(1);
  const x = (i: number) => px(single ? (at.left[i] ?? 0) : ((at.left[i] ?? 0) + (at.right[i] ?? 0)) / 2).toFixed(1);
  return runs(at)
    .map(([first, stop]) => {
      const places = Array.from({ length: stop - first }, (_, k) => first + k);
      const up = places.map((i) => `${i > first ? "L" : "M"}${x(i)} ${y(panel.greatest[i])}`).join("");
      return single ? up : `${up}${places.toReversed().map((i) => `L${x(i)} ${y(panel.least[i])}`).join("")}Z`;
    })
    .join("");
}

/** A dot at each sample. */
export const sampleDots = (panel: Panel, at: Times, px: (time: number) => number) =>
  Array.from(panel.least, (value, i) => `M${px(at.left[i] ?? 0).toFixed(1)} ${levelOf(panel, value).toFixed(1)}h0`).join("");
