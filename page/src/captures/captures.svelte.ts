// What is on the page of captures: the files there are, the one that is read, where one looks in it.

import { desk } from "../desk/desk.svelte";
import { route } from "../desk/route.svelte";
import * as calls from "../server/captures";
import { Refused } from "../server/calls";
import { Arriving } from "./arriving.svelte";
import { ends } from "./axis";
import { Words } from "./words.svelte";
import type { CaptureListed, CaptureSight, Changes, Farness, SparkSight, SaidForm } from "../server/shapes";

const TELL = 300;
const LEAST_SPAN = 8;

class Captures {
  listed = $state.raw<CaptureListed[]>([]);
  stays = $state(true);
  looked = $state(false);
  files = $state.raw<string[]>([]);
  private words = new Words();
  keeping = $state(false);
  form = $state.raw<SaidForm | null>(null);
  reading = $state("");
  sight = $state.raw<CaptureSight | null>(null);
  /** What the shown reading was asked with; another ask is another reading. */
  private asked = $state("");
  busy = $state(false);
  far = $state.raw<Farness | null>(null);
  refused = $state("");
  arriving = new Arriving((names) => {
    void this.look();
    this.choose(names);
    if (route.page !== "captures") route.go("captures");
  });
  /** Times between which one looks. [s] */
  span = $state.raw<[number, number]>([0, 1]);
  classes = $state.raw<string[]>([]);
  spark = $state.raw<SparkSight | null>(null);
  pinned = $state(false);
  meters = $state.raw<Changes>({});
  /** Whether the rig on the desk is the one that was recorded. */
  onRig = $state(true);

  /** A capture of the supply's voltage and current; its meters count where there is none. */
  supply = $state("");

  said = $derived(this.words.of(this.files[0] ?? ""));
  /** How many values are not kept with the capture yet. */
  unsaved = $derived(this.words.unsaved(this.files[0] ?? ""));
  takesWords = $derived(!this.listed.some((each) => each.kept && each.name === this.files[0]));
  end = $derived(this.sight?.end_s ?? 1);
  private least = $derived(LEAST_SPAN / (this.sight?.answer.rate_hz ?? 1));
  wanted = $derived(this.classes.join(","));
  private now = $derived(JSON.stringify([this.files, this.said, this.onRig && [desk.rig.name, desk.rig.changes]]));
  stale = $derived(this.sight !== null && this.asked !== this.now);
  problems = $derived(this.form?.fields.filter((field) => field.problem && field.part !== "meters").length ?? 0);

  private stopRead: AbortController | null = null;
  private stopForm: AbortController | null = null;

  async look(): Promise<void> {
    try {
      const told = await calls.captures();
      this.listed = told.captures;
      this.stays = told.stays;
      this.looked = true;
    } catch (fault) {
      desk.tell(fault);
    }
  }

  /** Take files in that come together, and read them as one run. */
  gather(work: () => Promise<void>): Promise<void> {
    return this.arriving.gather(work);
  }

  bring(file: File): Promise<void> {
    return this.arriving.bring(file, this.stays);
  }

  /** A file was taken in under a name, or was not. */
  took(label: string, name: string | null, says: string): void {
    this.arriving.took(label, name, says, this.stays);
    if (name) void this.look();
  }

  choose(files: string[]): void {
    this.files = files;
    this.refused = "";
    void this.check();
    void this.read();
  }

  /** Look at what is kept with the files that are chosen. */
  private async recall(): Promise<void> {
    await this.words.recall(this.files.filter((name) => !this.listed.some((each) => each.kept && each.name === name)));
    void this.check();
  }

  say(key: string, text: string): void {
    if (this.files[0]) this.words.say(this.files[0], key, text);
    void this.check();
  }

  /** Keep what is said with the files, each in the side-car beside it. */
  async keepWords(): Promise<void> {
    this.keeping = true;
    try {
      await this.words.keep(this.files);
      desk.notice = `Kept in ${this.files[0]}.json${this.stays ? "" : " until the bench ends"}: the command line reads it, too.`;
      await this.look();
      void this.read();
    } catch (fault) {
      if (fault instanceof Refused) await this.recall().catch(() => undefined);
      desk.tell(fault);
    } finally {
      this.keeping = false;
    }
  }

  /** Go back to what is kept with the files. */
  forgetWords(): void {
    this.words.forget(this.files[0] ?? "");
    void this.check();
    void this.read();
  }

  meter(key: string, text: string): void {
    this.meters = { ...this.meters, [key]: text };
    void this.check();
  }

  async check(): Promise<void> {
    this.stopForm?.abort();
    const stop = new AbortController();
    this.stopForm = stop;
    try {
      this.form = await calls.saidForm({ ...this.said, ...this.meters }, stop.signal);
    } catch (fault) {
      if (!stop.signal.aborted) desk.tell(fault);
    }
  }

  async read(): Promise<void> {
    const first = this.files[0];
    if (!first) return;
    this.stopRead?.abort();
    const stop = new AbortController();
    this.stopRead = stop;
    this.busy = true;
    this.refused = "";
    while (this.onRig && !desk.rig.name && !stop.signal.aborted) await new Promise((done) => setTimeout(done, 100));
    if (stop.signal.aborted) return;
    try {
      await this.recall();
    } catch (fault) {
      if (stop.signal.aborted) return;
      this.busy = false;
      if (fault instanceof Refused) this.refused = fault.message;
      else desk.tell(fault);
      return;
    }
    if (stop.signal.aborted) return;
    const asked = this.now;
    const rig = this.onRig && desk.rig.name ? { name: desk.rig.name, changes: desk.rig.changes } : null;
    const done = this.watch(first);
    try {
      const told = await calls.read(this.files, this.said, rig, stop.signal);
      if (!stop.signal.aborted) this.show(told.reading, told.sight, asked);
    } catch (fault) {
      if (stop.signal.aborted) return;
      if (fault instanceof Refused) this.refused = fault.message;
      else desk.tell(fault);
    } finally {
      done();
      if (this.stopRead === stop) this.busy = false;
    }
  }

  /** Have the simulated drilling of what is on the desk recorded, and read that. */
  async record(): Promise<void> {
    this.stopRead?.abort();
    const stop = new AbortController();
    this.stopRead = stop;
    this.busy = true;
    this.refused = "";
    const done = this.watch("made");
    try {
      const rig = { name: desk.rig.name, changes: desk.rig.changes };
      const taken = await calls.made(rig, { name: desk.job.name, changes: desk.job.changes }, stop.signal);
      this.took(desk.rig.sheet?.title ?? rig.name, taken.name, taken.says);
    } catch (fault) {
      if (stop.signal.aborted) return;
      if (fault instanceof Refused) this.refused = fault.message;
      else desk.tell(fault);
    } finally {
      done();
      if (this.stopRead === stop) this.busy = false;
    }
  }

  /** Tell how far the work of a name is, until it is done. */
  private watch(name: string): () => void {
    const watch = setInterval(() => {
      calls.progressOf(name).then(
        (far) => (this.far = far.says ? far : null),
        () => undefined,
      );
    }, TELL);
    return () => {
      clearInterval(watch);
      this.far = null;
    };
  }

  stop(): void {
    this.stopRead?.abort();
    this.busy = false;
    this.far = null;
  }

  private show(reading: string, sight: CaptureSight, asked: string): void {
    const other = sight.answer.files.join() !== this.sight?.answer.files.join();
    this.sight = sight;
    this.reading = reading;
    this.asked = asked;
    this.spark = null;
    this.pinned = false;
    if (other) {
      this.classes = [];
      this.span = [0, sight.end_s];
    }
  }

  lookAt(start: number, stop: number): void {
    const width = Math.min(Math.max(stop - start, this.least), this.end);
    const middle = (start + stop) / 2;
    const begin = Math.min(Math.max(middle - width / 2, 0), this.end - width);
    this.span = [begin, begin + width];
  }

  /** Closer (below 1) or wider (above 1) around a part of the window. */
  zoom(factor: number, around = 0.5): void {
    const [start, stop] = this.span;
    const width = (stop - start) * factor;
    const held = start + around * (stop - start);
    this.lookAt(held - around * width, held + (1 - around) * width);
  }

  move(share: number): void {
    const [start, stop] = this.span;
    this.lookAt(start + share * (stop - start), stop + share * (stop - start));
  }

  whole(): void {
    this.lookAt(0, this.end);
  }

  toSpark(spark: SparkSight): void {
    const [first, last] = ends(spark);
    const room = Math.max(last - first, 1.5 * this.least);
    this.lookAt(first - room, last + room);
  }

  async step(row: number | null): Promise<void> {
    if (row === null || !this.reading) return;
    try {
      const spark = await calls.sparkAt(this.reading, row, this.wanted);
      this.spark = spark;
      this.pinned = true;
      const [first, last] = ends(spark);
      if (first < this.span[0] || last > this.span[1]) {
        const half = (this.span[1] - this.span[0]) / 2;
        this.lookAt(first - half, first + half);
      }
    } catch (fault) {
      desk.tell(fault);
    }
  }

  only(name: string): void {
    const chosen = this.classes.includes(name) ? this.classes.filter((one) => one !== name) : [...this.classes, name];
    this.classes = chosen;
  }

  async keep(): Promise<void> {
    try {
      const kept = await calls.keep(this.reading);
      desk.notice = `Kept as ${kept.name}: opens at once from now on, in the command line too.`;
      await this.look();
    } catch (fault) {
      desk.tell(fault);
    }
  }
}

export const captures = new Captures();
desk.taker = captures;
