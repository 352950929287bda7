// The desk: a rig and a job with their unsaved changes, what is compared, and the answers to them.

import { about, drop, folder, Gone, Refused, save, saveAs, words } from "../server/calls";
import { Line } from "../server/line";
import type { About, Folder, Kind, Words } from "../server/shapes";
import { Answers } from "./answers.svelte";
import { claimTab, keepDraft, lastChoice, ownDraft } from "./drafts";
import { Past, type Moment } from "./past.svelte";
import { Side } from "./side.svelte";

const MEMBERS = 32;
/** Bytes above which a dropped file is no rig or job. */
const MOST_OF_A_RIG = 4e6;

export interface Taker {
  /** Send a file that is too large for a rig or a job. */
  bring(file: File): Promise<void>;
  /** Read captures that come while some work is done as one run. */
  gather(work: () => Promise<void>): Promise<void>;
  /** A capture has been taken in. */
  took(label: string, name: string | null, says: string): void;
}

export class Desk {
  rig = new Side("rig");
  job = new Side("job");
  compare = $state.raw<string[]>([]);
  past = new Past();
  answers = new Answers();
  about = $state.raw<About | null>(null);
  folder = $state.raw<Folder | null>(null);
  words = $state.raw<Words | null>(null);
  /** One line to the user, until put away. */
  notice = $state("");
  conflict = $state.raw<{ kind: Kind; says: string } | null>(null);
  changed = $derived(this.rig.changed + this.job.changed);
  rigs = $derived(this.folder?.files.filter((file) => file.kind === "rig") ?? []);
  jobs = $derived(this.folder?.files.filter((file) => file.kind === "job") ?? []);
  /** The first calls found no server. */
  lost = $state(false);
  /** Who takes captures that are dropped. */
  taker: Taker | null = null;
  private line: Line | null = null;
  private waiting = 0;
  private key = ""; // the rig and the job that were asked for last

  side(kind: Kind): Side {
    return kind === "rig" ? this.rig : this.job;
  }

  /** Begin, and begin again until there is a server. */
  async start(): Promise<void> {
    await claimTab();
    for (;;) {
      try {
        await this.begin();
        this.lost = false;
        return;
      } catch (fault) {
        if (!(fault instanceof Gone)) throw fault;
        this.lost = true;
        await new Promise((go) => setTimeout(go, 1500));
      }
    }
  }

  private async begin(): Promise<void> {
    [this.about, this.folder, this.words] = await Promise.all([about(), folder(), words()]);
    const kept = await ownDraft();
    const last = lastChoice();
    const rig = this.known("rig", kept?.draft.rig.name ?? last?.rig);
    const job = this.known("job", kept?.draft.job.name ?? last?.job, rig);
    const rigChanges = kept?.draft.rig.name === rig ? kept.draft.rig.changes : {};
    const jobChanges = kept?.draft.job.name === job ? kept.draft.job.changes : {};
    this.compare = (kept?.draft.compare ?? last?.compare ?? []).filter((name) => this.known("rig", name) === name);
    await Promise.all([rig && this.rig.open(rig, rigChanges), job && this.job.open(job, jobChanges)]);
    if (kept && this.changed) {
      this.notice =
        kept.found === "own"
          ? "Your unsaved changes from before the reload are here again."
          : "Unsaved changes of a tab that was closed are here again.";
    }
    this.line = new Line(
      (message) => this.answers.hear(message),
      (state) => {
        this.answers.line = state;
      },
    );
    this.askNow();
  }

  /** The wished name if the folder has it; else one like it, else the first that can be used. */
  private known(kind: Kind, wished: string | undefined, like = ""): string {
    const files = (kind === "rig" ? this.rigs : this.jobs).filter((file) => !file.refused);
    const names = files.map((file) => file.name);
    if (wished && names.includes(wished)) return wished;
    if (like && names.includes(like)) return like;
    return names.includes("first-build") ? "first-build" : (names[0] ?? "");
  }

  async open(kind: Kind, name: string): Promise<void> {
    try {
      await this.side(kind).open(name);
      if (kind === "rig") this.compare = this.compare.filter((other) => other !== name);
      this.past.forget();
      this.answers.clear();
      this.askNow();
    } catch (fault) {
      this.tell(fault);
    }
  }

  edit(kind: Kind, path: string, text: string): void {
    this.past.remember(this.moment(), path);
    const side = this.side(kind);
    side.changes = side.with(path, text);
    this.changedSide(side);
  }

  undo(): void {
    this.restore(this.past.undo(this.moment()));
  }

  redo(): void {
    this.restore(this.past.redo(this.moment()));
  }

  /** Put every value back as the files have it; can be undone. */
  discard(): void {
    this.past.remember(this.moment(), "");
    this.restore({ rig: {}, job: {} });
  }

  compareWith(name: string, wanted: boolean): void {
    this.compare = wanted ? [...new Set([...this.compare, name])] : this.compare.filter((one) => one !== name);
    this.answers.keepOnly(["saved", ...this.compare]);
    this.askNow();
  }

  stop(): void {
    this.line?.stop();
    this.answers.stopped = true;
    this.answers.progress = null;
  }

  askNow(): void {
    this.keep();
    if (!this.line || !this.rig.name || !this.job.name) return;
    if (!this.changed) this.answers.keepOnly(this.compare);
    const wanted = {
      rig: { name: this.rig.name, changes: this.rig.changes },
      job: { name: this.job.name, changes: this.job.changes },
    };
    const key = JSON.stringify([wanted, this.rig.saved?.etag, this.job.saved?.etag]);
    this.answers.asked(this.line.ask({ ...wanted, compare: this.compare, members: MEMBERS, seed: 0 }), key !== this.key);
    this.key = key;
  }

  async save(kind: Kind): Promise<void> {
    const side = this.side(kind);
    if (!side.saved) return;
    try {
      side.settle(await save(kind, side.name, side.changes, side.saved.etag));
      this.conflict = null;
      this.notice = `Saved in ${side.name}.${kind}.toml.`;
      this.askNow();
      await this.look();
    } catch (fault) {
      if (fault instanceof Refused && fault.status === 409 && fault.sheet) {
        side.saved = fault.sheet;
        this.conflict = { kind, says: fault.message };
      } else this.tell(fault);
    }
  }

  async saveAs(kind: Kind, name: string): Promise<string> {
    const side = this.side(kind);
    try {
      side.settle(await saveAs(kind, name, side.name, side.changes));
      this.notice = `Saved as ${name}.${kind}.toml.`;
      await this.look();
      this.askNow();
      return "";
    } catch (fault) {
      return fault instanceof Error ? fault.message : String(fault);
    }
  }

  /** Take files in that were dropped together. */
  async takeAll(files: File[]): Promise<void> {
    const all = async () => {
      for (const file of files) await this.take(file);
    };
    await (this.taker ? this.taker.gather(all) : all());
  }

  /** Take a dropped file in: a rig or a job is opened, anything else says why not. */
  async take(file: File): Promise<void> {
    if (file.size > MOST_OF_A_RIG) return this.taker?.bring(file);
    try {
      const taken = await drop(file);
      if (taken.kind === "capture") return this.taker?.took(file.name, taken.name, taken.says);
      await this.look();
      const fault = taken.sheet?.faults[0]?.says ?? taken.sheet?.refused;
      this.notice = fault ? `${file.name} cannot be used as it is: ${fault}` : `${file.name}: ${taken.says}`;
      if (fault) return;
      if (taken.name && (taken.kind === "rig" || taken.kind === "job")) {
        if (this.side(taken.kind).changed) this.notice += " Choose it above when your changes are saved.";
        else await this.open(taken.kind, taken.name);
      }
    } catch (fault) {
      this.tell(fault);
    }
  }

  /** Look into the folder again. */
  async look(): Promise<void> {
    try {
      this.folder = await folder();
    } catch (fault) {
      this.tell(fault);
    }
  }

  tell(fault: unknown): void {
    if (fault instanceof Refused || fault instanceof Gone) this.notice = fault.message;
    else throw fault;
  }

  private moment(): Moment {
    return { rig: this.rig.changes, job: this.job.changes };
  }

  private restore(moment: Moment | null): void {
    if (!moment) return;
    this.rig.changes = moment.rig;
    this.job.changes = moment.job;
    this.changedSide(this.rig, this.job);
  }

  /** Ask in the next frame, so that many keys in one frame are one ask. */
  private changedSide(...sides: Side[]): void {
    this.keep();
    cancelAnimationFrame(this.waiting);
    this.waiting = requestAnimationFrame(() => {
      this.askNow();
      for (const side of sides) void side.check();
    });
  }

  private keep(): void {
    keepDraft({
      rig: { name: this.rig.name, changes: this.rig.changes },
      job: { name: this.job.name, changes: this.job.changes },
      compare: this.compare,
    });
  }
}

export const desk = new Desk();
