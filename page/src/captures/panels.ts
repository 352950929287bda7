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

/** The area between least and greatest, or the line through single samples. */
export function swath(panel: Panel, at: ArrayLike<number>, px: (sample: number) => number, single: boolean): string {
  const y = (value: number | undefined) => levelOf(panel, value ?? 0).toFixed(1);
  const count = panel.least.length;
  if (single) return Array.from(panel.least, (value, i) => `${i ? "L" : "M"}${px(at[i] ?? 0).toFixed(1)} ${y(value)}`).join("");
  const middle = (i: number) => px(((at[i] ?? 0) + (at[i + 1] ?? 0)) / 2).toFixed(1);
  const up = Array.from(panel.greatest, (value, i) => `${i ? "L" : "M"}${middle(i)} ${y(value)}`);
  const down = Array.from({ length: count }, (_, i) => `L${middle(count - 1 - i)} ${y(panel.least[count - 1 - i])}`);
  return `${up.join("")}${down.join("")}Z`;
}

/** A dot at each sample. */
export const sampleDots = (panel: Panel, at: ArrayLike<number>, px: (sample: number) => number) =>
  Array.from(panel.least, (value, i) => `M${px(at[i] ?? 0).toFixed(1)} ${levelOf(panel, value).toFixed(1)}h0`).join("");
