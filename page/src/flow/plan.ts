// Where the band runs and where each loss leaves it. `along` the flow, `across` it: 0 at the band's
// far edge, growing towards the side where losses leave. Lengths in units of the page's letter height.

import type { Flow, Line, Stage } from "../server/shapes";
import { quantity, share, wrapped } from "../words/quantity";

export interface Strand {
  line: Line;
  along: number;
  width: number;
  begin: number;
  end: number;
  label: string[];
}

export interface Reach {
  stage: Stage;
  start: number;
  stop: number;
  width: number;
  strands: Strand[];
  notes: string[];
  last: boolean;
}

export interface Plan {
  down: boolean;
  length: number; // room along the flow; 0 where it may grow
  band: number; // breadth of the whole band on arrival
  watts: number; // what that breadth stands for
  wrapAt: number;
}

export const LINE = 1.12;
export const TURN = 0.85;
const LETTER = 0.46;
const LEAST = 0.09;
const SEEN = 5e-4;
const ROOM = 1.1;

const breadth = (lines: string[]) => Math.max(0, ...lines.map((line) => line.length)) * LETTER;

export function lossLabel(line: Line, wrapAt: number): string[] {
  return [...wrapped(line.account, wrapAt), `${quantity(line.power_w, "W")} · ${share(line.share)}`];
}

/** Losses wide enough to be drawn. */
export function seenLosses(flow: Flow, stage: Stage): Line[] {
  return stage.losses.filter((line) => line.power_w > SEEN * flow.entered_w);
}

/** The band of the whole flow, stage by stage. */
export function reachesOf(flow: Flow, plan: Plan): Reach[] {
  const scale = plan.band / plan.watts;
  const reaches: Reach[] = [];
  let start = 0;
  for (const [place, stage] of flow.stages.entries()) {
    const last = place === flow.stages.length - 1;
    const reach = last ? arrival(stage, plan, start, scale) : passage(flow, stage, plan, start, scale);
    reaches.push(reach);
    start = reach.stop;
  }
  return plan.length > start ? stretched(reaches, plan.length - start) : reaches;
}

function passage(flow: Flow, stage: Stage, plan: Plan, start: number, scale: number): Reach {
  const lines = seenLosses(flow, stage);
  const labels = lines.map((line) => lossLabel(line, plan.wrapAt));
  const ends = plan.down ? labels.map(() => plan.band + 1.2) : staggered(labels, plan.band);
  let near = stage.came_in_w * scale;
  let along = start + TURN + 0.35;
  let stop = start + (plan.down ? 3.4 : 5);
  const strands = lines.map((line, place): Strand => {
    const label = labels[place] ?? [];
    const width = Math.max(line.power_w * scale, LEAST);
    near -= line.power_w * scale;
    const tall = label.length * LINE;
    if (plan.down) along += Math.max(tall - width, 0) / 2;
    const strand = { line, along, width, begin: near, end: ends[place] ?? 0, label };
    const room = plan.down ? Math.max(tall - width, 0) / 2 + 0.7 : 0.5;
    const reach = plan.down ? width + room : Math.max(breadth(label), width) + ROOM;
    stop = Math.max(stop, along + reach);
    along += width + room;
    return strand;
  });
  return { stage, start, stop, width: Math.max(stage.came_in_w * scale, LEAST), strands, notes: [], last: false };
}

/** Ends across the flow, so that each label passes under the strand beside it. */
function staggered(labels: string[][], band: number): number[] {
  const ends: number[] = [];
  let across = band + 1;
  for (const label of labels.toReversed()) {
    ends.push(across);
    across += label.length * LINE + 0.7;
  }
  return ends.reverse();
}

function arrival(stage: Stage, plan: Plan, start: number, scale: number): Reach {
  const notes = [
    ...stage.losses.flatMap((line) => lossLabel(line, plan.wrapAt)),
    ...stage.of_which.flatMap((line) => lossLabel({ ...line, account: `of which ${line.account}` }, plan.wrapAt)),
  ];
  const length = plan.down ? 2 + notes.length * LINE : Math.max(breadth(notes), 7.5) + 0.5;
  const width = Math.max(stage.came_in_w * scale, LEAST);
  return { stage, start, stop: start + length, width, strands: [], notes, last: true };
}

/** Reaches spread over the room there is. */
function stretched(reaches: Reach[], spare: number): Reach[] {
  const each = spare / reaches.length;
  return reaches.map((reach, place) => {
    const shift = each * place;
    return {
      ...reach,
      start: reach.start + shift,
      stop: reach.stop + shift + each,
      strands: reach.strands.map((strand) => ({ ...strand, along: strand.along + shift + 0.25 * each })),
    };
  });
}

/** Length that the flow needs at least. */
export function leastLength(flow: Flow, plan: Plan): number {
  return reachesOf(flow, { ...plan, length: 0 }).at(-1)?.stop ?? 0;
}
