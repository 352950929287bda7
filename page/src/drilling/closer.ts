// The working end of the electrode, enlarged: a window that goes down with the front of the hole.

import type { Sheet } from "../hole/outline";
import { numbers } from "../server/packed";
import type { Moment } from "./drillings.svelte";

const WIDEST = 700e-6; // metres across the window: gaps of micrometres must be seen
const SPECK = 1.5e-6; // radius of a speck of debris, if there are not too many of them
const MOST_SPECKS = 3000;

export interface Window extends Sheet {
  corner: boolean; // only the outer corner fits in
}

/** Window over a moment; `radius` is that of the widest hole. */
export function windowFor(moment: Moment, radius: number, width: number, height: number): Window {
  const across = Math.min(2.3 * radius, WIDEST);
  const corner = across < 2.3 * radius;
  const scale = width / across;
  const face = height * 0.66 - moment.depth_m * scale;
  const middle = corner ? width * 0.72 - radius * scale : width / 2;
  return { scale, middle, face, width: 2 * width + Math.abs(middle), height, top: -(face + 30) / scale, corner };
}

export interface Dot {
  x: number;
  y: number;
  kind: number;
  age: number; // 0 the latest, towards 1 the oldest
}

/** The last sparks, each turned round the axis into the plane of the drawing, to the sides in turn. */
export function dotsIn(window: Window, moment: Moment): Dot[] {
  const sparks = moment.sparks;
  if (!sparks) return [];
  const radius = numbers(sparks.radius_m);
  const depth = numbers(sparks.depth_m);
  const last = Math.max(1, radius.length - 1);
  return [...radius].map((value, place) => ({
    x: window.middle + (window.corner || place % 2 ? value : -value) * window.scale,
    y: window.face + (depth[place] ?? 0) * window.scale,
    kind: sparks.kind[place] ?? 0,
    age: 1 - place / last,
  }));
}

const GOLDEN_X = 0.7548776662466927; // the plastic number's inverse and its square: places spread evenly
const GOLDEN_Y = 0.5698402909980532;

/** Specks that fill as much of the window as debris does of the liquid; bodies are drawn over them. */
export function specksIn(window: Window, share: number, thickness: number, width: number): { path: string; size: number } {
  const top = Math.max(0, window.face);
  const bottom = Math.min(window.height, window.face + thickness * window.scale);
  const area = Math.max(0, bottom - top) * width;
  const size = Math.max(SPECK * window.scale, Math.sqrt((share * area) / (MOST_SPECKS * Math.PI)));
  const count = Math.round((share * area) / (Math.PI * size * size));
  let path = "";
  for (let i = 1; i <= count; i++) {
    const x = ((i * GOLDEN_X) % 1) * width;
    const y = top + ((i * GOLDEN_Y) % 1) * (bottom - top);
    path += `M${x.toFixed(1)} ${y.toFixed(1)}h0`;
  }
  return { path, size };
}
