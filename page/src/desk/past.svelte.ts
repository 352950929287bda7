// Undo and redo: what the changes of rig and job were, step by step.

import type { Changes } from "../server/shapes";

export interface Moment {
  rig: Changes;
  job: Changes;
}

const SAME_STEP = 1200;
const LONGEST = 200;

export class Past {
  before = $state.raw<Moment[]>([]);
  after = $state.raw<Moment[]>([]);
  private lastPath = "";
  private lastTime = 0;

  /** Remember the moment before a change; quick changes of one value are one step. */
  remember(moment: Moment, path: string): void {
    const time = performance.now();
    const same = path === this.lastPath && time - this.lastTime < SAME_STEP;
    this.lastPath = path;
    this.lastTime = time;
    this.after = [];
    if (!same) this.before = [...this.before.slice(-LONGEST), moment];
  }

  undo(now: Moment): Moment | null {
    const moment = this.before.at(-1);
    if (!moment) return null;
    this.before = this.before.slice(0, -1);
    this.after = [...this.after, now];
    this.lastPath = "";
    return moment;
  }

  redo(now: Moment): Moment | null {
    const moment = this.after.at(-1);
    if (!moment) return null;
    this.after = this.after.slice(0, -1);
    this.before = [...this.before, now];
    this.lastPath = "";
    return moment;
  }

  forget(): void {
    this.before = [];
    this.after = [];
    this.lastPath = "";
  }
}
