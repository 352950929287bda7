// Drillings followed spark by spark, fetched once their answers have them, and the one clock they run on.

import { desk } from "../desk/desk.svelte";
import { play } from "../hole/play.svelte";
import { drillingOf } from "../server/calls";
import type { Drilling, DrillingFrame, ForecastMessage, Frame } from "../server/shapes";

/** A moment of a drilling; what only a spark-by-spark drilling knows may be missing. */
export type Moment = Frame & Partial<DrillingFrame>;

export interface Played {
  name: string; // "edited", "saved" or another rig
  title: string;
  message: ForecastMessage;
  full: Drilling | null;
  frames: Moment[];
  end: number;
}

const MOST = 12;
/** Answers of one unfolding share the drilling; their names differ behind the dash. */
const keyOf = (answer: string) => answer.split("-")[0] ?? answer;

class Drillings {
  private kept = $state.raw<Record<string, Drilling>>({});
  private asked = new Set<string>();

  of(message: ForecastMessage): Drilling | null {
    return this.kept[keyOf(message.answer)] ?? null;
  }

  /** Ask for what has become known; each drilling once. */
  async fetch(message: ForecastMessage): Promise<void> {
    const key = keyOf(message.answer);
    if (!message.spark_by_spark || this.asked.has(key)) return;
    this.asked.add(key);
    try {
      const found = await drillingOf(message.answer);
      this.kept = Object.fromEntries([...Object.entries(this.kept), [key, found]].slice(-MOST));
    } catch (fault) {
      desk.tell(fault);
    } finally {
      this.asked.delete(key);
    }
  }

  wanted(message: ForecastMessage): boolean {
    return message.spark_by_spark && !this.of(message);
  }
}

export const drillings = new Drillings();

function played(name: string, message: ForecastMessage): Played {
  const full = drillings.of(message);
  const frames: Moment[] = full?.frames.length ? full.frames : message.drawing.section.frames;
  const title = name === "edited" ? desk.rig.name : name === "saved" ? "as saved" : name;
  return { name, title, message, full, frames, end: frames.at(-1)?.time_s ?? 0 };
}

class Clock {
  /** What is on the desk, and all it is compared with, as far as they are known. */
  all = $derived(
    ["edited", "saved", ...desk.compare].flatMap((name) => {
      const message = desk.answers.forecasts[name];
      return message ? [played(name, message)] : [];
    }),
  );
  edited = $derived(this.all.find((one) => one.name === "edited") ?? null);
  others = $derived(this.all.filter((one) => one.name !== "edited"));
  /** Time for which the longest of them lasts. */
  span = $derived(Math.max(1e-6, ...this.all.map((one) => one.end)));
  now = $derived(play.at * this.span);
}

export const clock = new Clock();

/** Ask for every drilling that is known and not here yet; for a component's effect. */
export function fetchDrillings(): void {
  for (const one of clock.all) if (drillings.wanted(one.message)) void drillings.fetch(one.message);
}

/** The moment that stands at a time: the last one that has been reached. */
export function momentAt(frames: Moment[], time: number): Moment | undefined {
  let low = 0;
  let high = frames.length - 1;
  while (low < high) {
    const middle = Math.ceil((low + high) / 2);
    if ((frames[middle]?.time_s ?? 0) <= time + 1e-9) low = middle;
    else high = middle - 1;
  }
  return frames[low];
}
