// Unsaved changes survive a reload, tab by tab: a living tab keeps its draft to itself.

import type { Changes } from "../server/shapes";

export interface Draft {
  rig: { name: string; changes: Changes };
  job: { name: string; changes: Changes };
  compare: string[];
}

const MARK = "gapwright draft ";

function tabName(): string {
  let name = sessionStorage.getItem("gapwright tab");
  if (!name) {
    name = crypto.randomUUID();
    sessionStorage.setItem("gapwright tab", name);
  }
  return name;
}

let own = "";

/** Hold the name of this tab for as long as it lives; a copied tab takes a new one. */
export async function claimTab(): Promise<void> {
  own = tabName();
  if (!navigator.locks) return;
  if (!(await held(own))) {
    sessionStorage.removeItem("gapwright tab");
    own = tabName();
    await held(own);
  }
}

function held(name: string): Promise<boolean> {
  return new Promise((answer) => {
    void navigator.locks.request(MARK + name, { ifAvailable: true }, (lock) => {
      answer(lock !== null);
      return lock ? new Promise(() => {}) : undefined;
    });
  });
}

export function keepDraft(draft: Draft): void {
  const changed = Object.keys(draft.rig.changes).length + Object.keys(draft.job.changes).length;
  if (changed) localStorage.setItem(MARK + own, JSON.stringify(draft));
  else localStorage.removeItem(MARK + own);
  sessionStorage.setItem("gapwright choice", JSON.stringify({ ...draft, rig: draft.rig.name, job: draft.job.name }));
}

/** What was chosen before a reload, where nothing was changed. */
export function lastChoice(): { rig: string; job: string; compare: string[] } | null {
  return read(sessionStorage, "gapwright choice");
}

/** Draft of this tab, or one that a closed tab left behind. */
export async function ownDraft(): Promise<{ draft: Draft; found: "own" | "left" } | null> {
  const mine = read<Draft>(localStorage, MARK + own);
  if (mine) return { draft: mine, found: "own" };
  const living = new Set((await navigator.locks?.query())?.held?.map((lock) => lock.name));
  for (const key of Object.keys(localStorage)) {
    if (!key.startsWith(MARK) || living.has(key) || !navigator.locks) continue;
    const draft = read<Draft>(localStorage, key);
    localStorage.removeItem(key);
    if (draft) return { draft, found: "left" };
  }
  return null;
}

function read<T>(store: Storage, key: string): T | null {
  try {
    return JSON.parse(store.getItem(key) ?? "null") as T | null;
  } catch {
    return null;
  }
}
