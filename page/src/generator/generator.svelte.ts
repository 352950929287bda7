// The generator on the page: the rig on the desk, its scenes, the stretch that is looked at.

import { desk } from "../desk/desk.svelte";
import { Gone, Refused } from "../server/calls";
import { generatorOf, type Stretch, tracesOf } from "./calls";
import type { Chosen, Scene, Traces, View } from "./shapes";
import { type Piece, type Progress, WorkRefused, Works } from "./work";

const SETTLE = 250;
export const LEAST = 1e-9;
export const LONGEST = 600;
export const MOST = 8;

/** What is said of a fault; nothing of a stop that was asked for. */
export function saidOf(fault: unknown): string {
  if (fault instanceof WorkRefused && fault.stopped) return "";
  if (fault instanceof WorkRefused || fault instanceof Refused || fault instanceof Gone || fault instanceof Error) return fault.message;
  return String(fault);
}

export class GeneratorState {
  works = new Works();
  name = $state("");
  view = $state.raw<View | null>(null);
  scene = $state<Scene>("spark");
  problem = $state("");
  progress = $state.raw<Progress | null>(null);
  /** Stretch that is looked at; null is all that was recorded. */
  span = $state.raw<{ start: number; stop: number } | null>(null);
  traces = $state.raw<string[]>([]);
  drawn = $state.raw<Traces | null>(null);
  drawnOf = $state.raw<{ generator: string; wanted: Stretch } | null>(null);
  looking = $state.raw<Progress | null>(null);
  lookProblem = $state("");
  private asked: Piece | null = null;
  private far: Piece | null = null;
  private near: AbortController | null = null;
  private waiting = 0;

  shown = $derived(this.view?.scenes.find((one) => one.scene === this.scene) ?? null);
  recorded = $derived(this.shown?.recorded_s ?? 0);
  start = $derived(this.span?.start ?? 0);
  stop = $derived(this.span?.stop ?? this.recorded);
  isFar = $derived(this.stop > this.recorded);
  rig = $derived<Chosen>({ name: desk.rig.name, changes: desk.rig.changes });

  /** Look at the rig of the desk once no key was hit for a moment. */
  ask(rig: Chosen): void {
    clearTimeout(this.waiting);
    this.waiting = window.setTimeout(() => void this.run(rig), this.view ? SETTLE : 0);
  }

  private async run(rig: Chosen): Promise<void> {
    this.asked?.stop();
    const piece = this.works.begin({ generator: { rig } }, (progress) => {
      if (this.asked === piece) this.progress = progress;
    });
    this.asked = piece;
    try {
      const name = await piece.answer;
      if (this.asked !== piece) return;
      const { view } = await generatorOf(name);
      if (this.asked !== piece) return;
      this.problem = "";
      const there = new Set(view.traces.map((one) => one.trace));
      const kept = this.traces.filter((trace) => there.has(trace));
      this.view = view;
      this.name = name;
      if (!kept.length || kept.length < this.traces.length) this.traces = kept.length ? kept : view.usual;
    } catch (fault) {
      if (this.asked === piece) this.problem = saidOf(fault);
    } finally {
      if (this.asked === piece) this.progress = null;
    }
  }

  choose(scene: Scene): void {
    if (scene === this.scene) return;
    this.scene = scene;
    this.span = null;
  }

  toggle(trace: string): void {
    if (this.traces.includes(trace)) this.traces = this.traces.filter((one) => one !== trace);
    else if (this.traces.length < MOST) this.traces = [...this.traces, trace];
  }

  /** Look at a stretch, kept within what can be looked at. */
  look(start: number, stop: number): void {
    const length = Math.min(Math.max(stop - start, LEAST), LONGEST);
    const from = Math.min(Math.max(start, 0), LONGEST - length);
    this.span = { start: from, stop: from + length };
  }

  zoom(factor: number): void {
    const middle = 0.5 * (this.start + this.stop);
    const half = 0.5 * (this.stop - this.start) * factor;
    this.look(Math.max(middle - half, 0), Math.max(middle - half, 0) + 2 * half);
  }

  move(share: number): void {
    const step = share * (this.stop - this.start);
    this.look(this.start + step, this.stop + step);
  }

  /** Have the waveforms of the stretch: at once where it was recorded, else by a new run. */
  async draw(slices: number): Promise<void> {
    this.near?.abort();
    this.far?.stop();
    this.far = null;
    this.looking = null;
    if (!this.name || !this.traces.length || !(this.stop > this.start)) return;
    const generator = this.name;
    const wanted: Stretch = { scene: this.scene, start: this.start, stop: this.stop, traces: this.traces, slices };
    const near = new AbortController();
    this.near = near;
    try {
      if (this.isFar) {
        const { traces, ...rest } = wanted;
        const piece = this.works.begin({ look: { generator, ...rest, trace: traces } }, (progress) => {
          if (this.far === piece) this.looking = progress;
        });
        this.far = piece;
        this.looking = { says: "running the scene further", done: 0, total: 1 };
        await piece.answer;
        if (this.far !== piece) return;
        this.looking = null;
      }
      const drawn = await tracesOf(generator, wanted, near.signal);
      this.drawn = drawn;
      this.drawnOf = { generator, wanted };
      this.lookProblem = "";
    } catch (fault) {
      if (near.signal.aborted) return;
      this.looking = null;
      this.lookProblem = saidOf(fault);
    }
  }

  stopLooking(): void {
    this.far?.stop();
    this.far = null;
    this.looking = null;
    this.span = null;
  }

  stopRunning(): void {
    this.asked?.stop();
  }

  end(): void {
    clearTimeout(this.waiting);
    this.near?.abort();
    this.works.end();
  }
}
