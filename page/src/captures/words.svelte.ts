// What is said of captures: what is kept with each in its side-car, and what is typed and not kept yet.

import * as calls from "../server/captures";
import type { Changes, KeptWords } from "../server/shapes";

const STORED = "gapwright-captures-said";

export class Words {
  /** Not kept yet, as typed, by the name of the capture; an empty text takes away what is kept. */
  private typed = $state.raw<Record<string, Changes>>(remembered());
  private kept = $state.raw<Record<string, KeptWords>>({});

  /** All that is said of a capture. */
  of(name: string): Changes {
    return { ...this.kept[name]?.said, ...this.typed[name] };
  }

  /** How many values are not kept yet. */
  unsaved(name: string): number {
    return Object.keys(this.typed[name] ?? {}).length;
  }

  async recall(names: string[]): Promise<void> {
    const told = await Promise.all(names.map(async (name) => [name, await calls.keptSaid(name)] as const));
    this.kept = { ...this.kept, ...Object.fromEntries(told) };
    for (const [name, { said }] of told) this.remember(name, differing(this.typed[name] ?? {}, said));
  }

  say(name: string, key: string, text: string): void {
    this.remember(name, differing({ ...this.typed[name], [key]: text }, this.kept[name]?.said ?? {}));
  }

  /** Keep what is said of the first file with all files of the run. */
  async keep(names: string[]): Promise<void> {
    const [first] = names;
    if (!first) return;
    const words = this.typed[first] ?? {};
    for (const name of names) {
      const held = this.kept[name] ?? (await calls.keptSaid(name));
      this.kept = { ...this.kept, [name]: await calls.keepSaid(name, { ...held.said, ...words }, held.etag) };
    }
    this.remember(first, {});
  }

  forget(name: string): void {
    this.remember(name, {});
  }

  private remember(name: string, said: Changes): void {
    const others = Object.entries(this.typed).filter(([one]) => one !== name);
    this.typed = Object.fromEntries(Object.keys(said).length ? [...others, [name, said]] : others);
    try {
      localStorage.setItem(STORED, JSON.stringify(this.typed));
    } catch {
      // A browser that keeps nothing forgets it at a reload.
    }
  }
}

/** What is typed and not the same as what is kept. */
function differing(typed: Changes, kept: Changes): Changes {
  return Object.fromEntries(Object.entries(typed).filter(([key, text]) => text !== (kept[key] ?? "")));
}

function remembered(): Record<string, Changes> {
  try {
    return JSON.parse(localStorage.getItem(STORED) ?? "{}") as Record<string, Changes>;
  } catch {
    return {};
  }
}
