// What is on the page of captures: the files there are, the one that is read, where one looks in it.

import { desk } from "../desk/desk.svelte";
import { route } from "../desk/route.svelte";
import * as calls from "../server/captures";
import { Refused } from "../server/calls";
import type { CaptureListed, CaptureSight, Changes, Farness, SparkSight, SaidForm } from "../server/shapes";

const LARGEST = 8e9;
const TELL = 300;
const LEAST_SPAN = 8;
const KEPT = "gapwright-captures-said";

class Captures {
  listed = $state.raw<CaptureListed[]>([]);
  stays = $state(true);
  looked = $state(false);
  files = $state.raw<string[]>([]);
  /** What is said of each capture, as typed, by its name. */
  private words = $state.raw<Record<string, Changes>>(remembered());
  form = $state.raw<SaidForm | null>(null);
  reading = $state("");
  sight = $state.raw<CaptureSight | null>(null);
  /** What the shown reading was asked with; another ask is another reading. */
  private asked = $state("");
  busy = $state(false);
  far = $state.raw<Farness | null>(null);
  refused = $state("");
  sending = $state.raw<{ name: string; done: number; total: number } | null>(null);
  /** Times between which one looks. [s] */
  span = $state.raw<[number, number]>([0, 1]);
  classes = $state.raw<string[]>([]);
  spark = $state.raw<SparkSight | null>(null);
  pinned = $state(false);
  meters = $state.raw<Changes>({});
  /** Whether the rig on the desk is the one that was recorded. */
  onRig = $state(true);

  said = $derived(this.words[this.files[0] ?? ""] ?? {});
  end = $derived(this.sight?.end_s ?? 1);
  private least = $derived(LEAST_SPAN / (this.sight?.answer.rate_hz ?? 1));
  wanted = $derived(this.classes.join(","));
  private now = $derived(JSON.stringify([this.files, this.said, this.onRig && [desk.rig.name, desk.rig.changes]]));
  stale = $derived(this.sight !== null && this.asked !== this.now);
  problems = $derived(this.form?.fields.filter((field) => field.problem && field.part !== "meters").length ?? 0);

  private stopRead: AbortController | null = null;
  private stopSend: AbortController | null = null;
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

  /** Take a file in and read it. */
  async bring(file: File): Promise<void> {
    if (file.size > LARGEST) {
      desk.notice = `${file.name} must be at most 8 GB to be sent; put it into the folder “captures” of the bench instead.`;
      return;
    }
    if (route.page !== "captures") route.go("captures"); // where its way here is told
    this.stopSend = new AbortController();
    this.sending = { name: file.name, done: 0, total: file.size };
    try {
      const taken = await calls.send(
        file,
        (done) => (this.sending = { name: file.name, done, total: file.size }),
        this.stopSend.signal,
      );
      this.took(file.name, taken.name, taken.says);
    } catch (fault) {
      if (!this.stopSend.signal.aborted) desk.tell(fault);
    } finally {
      this.sending = null;
    }
  }

  /** A file was taken in under a name, or was not. */
  took(label: string, name: string | null, says: string): void {
    desk.notice = name ? `${label}: ${says}, kept as ${name}${this.stays ? "" : " until the bench ends"}.` : says;
    if (!name) return;
    void this.look();
    if (name.endsWith(".json")) return;
    this.choose([name]);
    if (route.page !== "captures") route.go("captures");
  }

  stopSending(): void {
    this.stopSend?.abort();
  }

  choose(files: string[]): void {
    this.files = files;
    this.refused = "";
    void this.check();
    void this.read();
  }

  say(key: string, text: string): void {
    const name = this.files[0];
    if (!name) return;
    const said = { ...this.said, [key]: text };
    if (!text) delete said[key];
    this.words = { ...this.words, [name]: said };
    try {
      localStorage.setItem(KEPT, JSON.stringify(this.words));
    } catch {
      // A browser that keeps nothing forgets it at a reload.
    }
    void this.check();
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

/** When an event begins and ends. */
export function ends(spark: SparkSight): [number, number] {
  const first = spark.numbers.start_s ?? 0;
  return [first, first + (spark.numbers.duration_s ?? 0)];
}

function remembered(): Record<string, Changes> {
  try {
    return JSON.parse(localStorage.getItem(KEPT) ?? "{}") as Record<string, Changes>;
  } catch {
    return {};
  }
}

export const captures = new Captures();
desk.taker = captures;
