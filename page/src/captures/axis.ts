// Round numbers along an axis.

import { scaleFor } from "../words/quantity";
import type { SparkSight } from "../server/shapes";

/** Round values between two, about so many. */
export function ticksBetween(low: number, high: number, about: number): number[] {
  const span = high - low;
  if (!(span > 0) || !Number.isFinite(span)) return [low];
  const rough = span / Math.max(about, 1);
  const decade = 10 ** Math.floor(Math.log10(rough));
  const step = ([1, 2, 5, 10].find((lead) => lead * decade >= rough) ?? 10) * decade;
  const found: number[] = [];
  for (let k = Math.ceil(low / step - 1e-9); k * step <= high + 1e-9 * span; k++) found.push(k * step);
  return found;
}

/** Values of an axis in one unit: the texts, and the unit's name. */
export function labelled(values: number[], unit: string): { texts: string[]; unit: string } {
  const scale = scaleFor(Math.max(...values.map(Math.abs), 1e-15), unit);
  return { texts: values.map((value) => `${Number((value / scale.size).toPrecision(6))}`), unit: scale.name };
}

/** Powers of ten, or round values between them, on an axis of ratios. */
export function decades(low: number, high: number): number[] {
  if (!(low > 0) || !(high > low) || !Number.isFinite(high)) return [];
  const leads = high / low > 300 ? [1] : high / low > 12 ? [1, 3] : high / low > 3 ? [1, 2, 5] : [1, 1.2, 1.5, 2, 2.5, 3, 4, 5, 6, 8];
  const found: number[] = [];
  for (let decade = 10 ** Math.floor(Math.log10(low)); decade < high; decade *= 10)
    for (const lead of leads) if (lead * decade >= low && lead * decade <= high) found.push(lead * decade);
  return found;
}

/** Values whose places on the screen keep so far apart. */
export function apart(values: number[], place: (value: number) => number, least: number): number[] {
  const kept: number[] = [];
  for (const value of values) {
    const last = kept.at(-1);
    if (last === undefined || Math.abs(place(value) - place(last)) >= least) kept.push(value);
  }
  return kept;
}

/** When an event begins and ends. */
export function ends(spark: SparkSight): [number, number] {
  const first = spark.numbers.start_s ?? 0;
  return [first, first + (spark.numbers.duration_s ?? 0)];
}
