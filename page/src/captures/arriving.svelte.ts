// Files of captures on their way to the bench; those that come together are files of one run.

import { desk } from "../desk/desk.svelte";
import { route } from "../desk/route.svelte";
import * as calls from "../server/captures";

const LARGEST = 8e9;
const IN_ORDER = new Intl.Collator(undefined, { numeric: true });

/** Names in the order in which a recorder numbers its files. */
export const inOrder = (names: string[]): string[] => names.toSorted(IN_ORDER.compare);

export class Arriving {
  /** The file that is on its way. */
  now = $state.raw<{ name: string; done: number; total: number } | null>(null);
  private stopSend: AbortController | null = null;
  private together: string[] | null = null;

  constructor(private arrived: (names: string[]) => void) {}

  /** Take several files in, which are read as one run when all have come. */
  async gather(work: () => Promise<void>): Promise<void> {
    const names: string[] = [];
    this.together = names;
    try {
      await work();
    } finally {
      this.together = null;
    }
    if (names.length > 1) desk.notice = `Taken in and read as one run: ${inOrder(names).join(", ")}. Choose one above to read it alone.`;
    if (names.length) this.arrived(inOrder(names));
  }

  /** Send a file. */
  async bring(file: File, stays: boolean): Promise<void> {
    if (file.size > LARGEST) {
      desk.notice = `${file.name} must be at most 8 GB to be sent; put it into the folder “captures” of the bench instead.`;
      return;
    }
    if (route.page !== "captures") route.go("captures"); // where its way here is told
    const stop = new AbortController();
    this.stopSend = stop;
    this.now = { name: file.name, done: 0, total: file.size };
    try {
      const taken = await calls.send(file, (done) => (this.now = { name: file.name, done, total: file.size }), stop.signal);
      this.took(file.name, taken.name, taken.says, stays);
    } catch (fault) {
      if (!stop.signal.aborted) desk.tell(fault);
    } finally {
      this.now = null;
    }
  }

  /** A file was taken in under a name, or was not. */
  took(label: string, name: string | null, says: string, stays: boolean): void {
    desk.notice = name ? `${label}: ${says}, kept as ${name}${stays ? "" : " until the bench ends"}.` : says;
    if (!name || name.endsWith(".json")) return;
    if (this.together) this.together.push(name);
    else this.arrived([name]);
  }

  stop(): void {
    this.stopSend?.abort();
  }
}
