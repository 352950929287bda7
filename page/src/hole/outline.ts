// Outlines of hole and electrode as paths; a half of a body of rotation and its mirror image.

import { numbers } from "../server/packed";
import type { Outline, Section } from "../server/shapes";

export interface Sheet {
  scale: number; // pixels per metre
  middle: number;
  face: number; // where the entry face lies
  width: number;
  height: number;
  top: number; // depth at the upper edge of the drawing, negative
}

export interface Half {
  radius: number[];
  depth: number[];
}

const largest = (values: Float32Array) => values.reduce((most, value) => Math.max(most, value), 0);

export function half(outline: Outline): Half {
  return { radius: [...numbers(outline.radius_m)], depth: [...numbers(outline.depth_m)] };
}

/** Scale at which the whole drilling fits, the same for all its frames. */
export function sheetFor(section: Section, width: number, letter: number): Sheet {
  const frames = section.frames;
  const lowest = Math.max(
    section.thickness_m * 1.08,
    ...frames.map((frame) => largest(numbers(frame.electrode.depth_m))),
  );
  const widest = Math.max(
    section.wanted_diameter_m / 2,
    ...frames.map((frame) => largest(numbers(frame.electrode.radius_m))),
  );
  const above = Math.max(0.5 * section.thickness_m, 0.9 * section.wanted_diameter_m);
  const most = Math.min(26 * letter, 0.95 * width + 4 * letter);
  const scale = Math.min((most - 3 * letter) / (above + lowest), (0.3 * width) / (2 * widest));
  const up = Math.max(above * scale, 5.2 * letter);
  const height = up + lowest * scale + 3.4 * letter;
  return { scale, middle: width * (width < 34 * letter ? 0.42 : 0.46), face: up, width, height, top: -up / scale };
}

const round = (value: number) => Math.round(value * 10) / 10;

export const x = (sheet: Sheet, radius: number) => round(sheet.middle + radius * sheet.scale);
export const y = (sheet: Sheet, depth: number) => round(sheet.face + depth * sheet.scale);

function line(sheet: Sheet, points: [number, number][]): string {
  return points.map(([radius, depth]) => `${x(sheet, radius)} ${y(sheet, depth)}`).join("L");
}

/** Electrode down to its end, both sides; a tube is two bodies. */
export function electrodePath(sheet: Sheet, outline: Half): string {
  const inner = outline.radius[0] ?? 0;
  const outer = outline.radius.at(-1) ?? 0;
  const side = (sign: number): [number, number][] => [
    [sign * inner, sheet.top],
    ...outline.radius.map((radius, place): [number, number] => [sign * radius, Math.max(outline.depth[place] ?? 0, sheet.top)]),
    [sign * outer, sheet.top],
  ];
  return [1, -1].map((sign) => `M${line(sheet, side(sign))}Z`).join("");
}

const THROUGH = 0.9995; // of the thickness: as deep as this a hole is open

/** Place of the outermost point of a hole that is open, -1 while none is. */
const lastOpen = (outline: Half, thickness: number) => outline.depth.findLastIndex((depth) => depth >= THROUGH * thickness);

export const isOpen = (outline: Half, thickness: number) => lastOpen(outline, thickness) >= 0;

/** Workpiece with the hole in it, cut through the axis: two bodies once it is open, and what was inside fell out. */
export function workpiecePath(sheet: Sheet, outline: Half, thickness: number): string {
  const reach = (sheet.width + 20) / sheet.scale;
  const open = lastOpen(outline, thickness);
  if (open >= 0) {
    const wall = outline.radius.slice(open).map((radius, place): [number, number] => [radius, place ? Math.max(outline.depth[open + place] ?? 0, 0) : thickness]);
    const body = (sign: number): [number, number][] => [...wall, [reach, 0], [reach, thickness]].map(([radius, depth]): [number, number] => [sign * (radius ?? 0), depth ?? 0]);
    return [1, -1].map((sign) => `M${line(sheet, body(sign))}Z`).join("");
  }
  const wall = outline.radius.map((radius, place): [number, number] => [radius, Math.min(Math.max(outline.depth[place] ?? 0, 0), thickness)]);
  const across: [number, number][] = [...wall.map(([radius, depth]): [number, number] => [-radius, depth]).reverse(), ...wall];
  return `M${line(sheet, [...across, [reach, 0], [reach, thickness], [-reach, thickness], [-reach, 0]])}Z`;
}

const BARS = [5e-3, 2e-3, 1e-3, 0.5e-3, 0.2e-3, 0.1e-3, 0.05e-3];

/** Longest round length that a scale bar may stand for. */
export function barLength(sheet: Sheet): number {
  return BARS.find((bar) => bar * sheet.scale <= 0.24 * sheet.width) ?? 0.05e-3;
}
