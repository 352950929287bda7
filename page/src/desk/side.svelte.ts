// One file on the desk: the rig or the job, as saved and with the changes of this tab.

import { check, Refused, sheetOf } from "../server/calls";
import type { Changes, Field, Kind, Sheet } from "../server/shapes";

export class Side {
  name = $state("");
  /** The file as it is on disk. */
  saved = $state.raw<Sheet | null>(null);
  /** The file with the changes made; equals `saved` without any. */
  sheet = $state.raw<Sheet | null>(null);
  changes = $state.raw<Changes>({});
  changed = $derived(Object.keys(this.changes).length);
  private asked: AbortController | null = null;

  constructor(readonly kind: Kind) {}

  async open(name: string, changes: Changes = {}): Promise<void> {
    const sheet = await sheetOf(this.kind, name);
    this.name = name;
    this.saved = sheet;
    this.sheet = sheet;
    this.changes = changes;
    if (Object.keys(changes).length) await this.check();
  }

  /** The text that a field has in the file; empty where it is left out. */
  savedText(path: string): string {
    return this.saved?.fields.find((field) => field.path === path)?.text ?? "";
  }

  /** The text that a field has now. */
  text(field: Field): string {
    return this.changes[field.path] ?? field.text ?? "";
  }

  /** Changes with one more; a value put back as it was is no change. */
  with(path: string, text: string): Changes {
    const next = { ...this.changes };
    if (text === this.savedText(path)) delete next[path];
    else next[path] = text;
    return next;
  }

  /** Have the changed file checked; the answer to an older question is not waited for. */
  async check(): Promise<void> {
    this.asked?.abort();
    if (!Object.keys(this.changes).length) {
      this.sheet = this.saved;
      return;
    }
    const asked = new AbortController();
    this.asked = asked;
    try {
      const sheet = await check(this.kind, this.name, this.changes, asked.signal);
      if (!asked.signal.aborted) this.sheet = sheet;
    } catch (fault) {
      if (fault instanceof Refused && this.sheet) this.sheet = { ...this.sheet, refused: fault.message };
    }
  }

  /** A sheet as the server just saved it. */
  settle(sheet: Sheet): void {
    this.name = sheet.name;
    this.saved = sheet;
    this.sheet = sheet;
    this.changes = {};
  }

  problemAt(path: string): string {
    const field = this.sheet?.fields.find((one) => one.path === path);
    return field?.problem ?? this.sheet?.faults.find((fault) => fault.path === path)?.says ?? "";
  }
}
