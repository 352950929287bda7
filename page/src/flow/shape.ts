// From a plan to outlines: the band of each stage, the strands of its losses, and the sparks as dots.

import type { Flow } from "../server/shapes";
import { TURN, type Reach, type Strand } from "./plan";

export type Place = (along: number, across: number) => [number, number];

const CURVE = 0.55;
const SEAM = 0.04; // stages overlap, so that no line shows between them

const at = (place: Place, along: number, across: number) =>
  place(along, across)
    .map((number) => number.toFixed(1))
    .join(" ");

/** The band through one stage, narrowing where its losses leave. */
export function bandPath(reach: Reach, place: Place): string {
  const corners: [number, number][] = [
    [reach.start, 0],
    [reach.stop + SEAM, 0],
  ];
  const edge: [number, number][] = [[reach.start, reach.width]];
  let width = reach.width;
  for (const strand of reach.strands) {
    edge.push([strand.along - TURN, width]);
    width = Math.max(strand.begin, 0.09);
    edge.push([strand.along - TURN, width]);
  }
  edge.push([reach.stop + SEAM, width]);
  return `M${[...corners, ...edge.reverse()].map(([x, y]) => at(place, x, y)).join("L")}Z`;
}

/** Breadth of what is left of the band at a place along a reach. */
export function widthAt(reach: Reach, along: number): number {
  let width = reach.width;
  for (const strand of reach.strands) if (along > strand.along - TURN) width = Math.max(strand.begin, 0.09);
  return width;
}

/** A loss: leaves the band, turns away from it and ends in a point. */
export function strandPath(strand: Strand, place: Place): string {
  const near = strand.along;
  const far = strand.along + strand.width;
  const start = near - TURN;
  const inner = strand.begin + strand.width;
  const outer = strand.begin;
  const turned = inner + TURN;
  const tip = strand.end + Math.min(0.5 * strand.width, 0.75);
  const p = (x: number, y: number) => at(place, x, y);
  return [
    `M${p(start, inner)}`,
    `C${p(start + CURVE * TURN, inner)} ${p(near, turned - CURVE * TURN)} ${p(near, turned)}`,
    `L${p(near, strand.end)}L${p((near + far) / 2, tip)}L${p(far, strand.end)}L${p(far, turned)}`,
    `C${p(far, turned - CURVE * (turned - outer))} ${p(far - CURVE * (far - start), outer)} ${p(start, outer)}Z`,
  ].join("");
}

/** Places of dots that fill a reach evenly, the same at every drawing. */
export function sparkDots(reach: Reach, place: Place, step = 0.34): [number, number][] {
  const dots: [number, number][] = [];
  const columns = Math.floor((reach.stop - reach.start) / step);
  for (let column = 0; column < columns; column++) {
    const along = reach.start + (column + 0.5) * step;
    const width = widthAt(reach, along);
    const rows = Math.max(1, Math.round(width / step));
    for (let row = 0; row < rows; row++) {
      const shake = (scatter(column, row) - 0.5) * 0.45 * step;
      const slip = (scatter(row + 91, column) - 0.5) * 0.35 * step;
      dots.push(place(along + shake, ((row + 0.5) / rows) * width + slip));
    }
  }
  return dots;
}

/** A number between 0 and 1 that two whole numbers always give. */
function scatter(a: number, b: number): number {
  let h = Math.imul(a + 1, 0x9e3779b1) ^ Math.imul(b + 1, 0x85ebca6b);
  h = Math.imul(h ^ (h >>> 15), 0x2c1b3c6d);
  return ((h ^ (h >>> 13)) >>> 0) / 2 ** 32;
}

/** Edge that the band had in another flow, drawn over this one. */
export function ghostPath(reaches: Reach[], other: Flow, scale: number, place: Place): string {
  const came = new Map(other.stages.map((stage) => [stage.stage, stage.came_in_w]));
  const pieces: string[] = [];
  for (const reach of reaches) {
    const watts = came.get(reach.stage.stage);
    if (watts === undefined) continue;
    const across = Math.max(watts * scale, 0.09);
    pieces.push(`M${at(place, reach.start + 0.15, across)}L${at(place, reach.stop - 0.15, across)}`);
  }
  return pieces.join("");
}
