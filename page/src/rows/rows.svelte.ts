// Holes in a row of what is on the desk: begun, heard of, stopped; the last answer stays while the page is open.

import { desk } from "../desk/desk.svelte";
import { saidOf } from "../generator/generator.svelte";
import { type Piece, type Progress, WorkRefused, Works } from "../generator/work";
import { rowOf } from "../server/calls";
import type { RowSight } from "../server/shapes";

class Rows {
  holes = $state("4");
  progress = $state.raw<Progress | null>(null);
  /** What is wrong with the number of holes, and what is wrong otherwise. */
  fault = $state("");
  problem = $state("");
  name = $state("");
  sight = $state.raw<RowSight | null>(null);
  private works = new Works();
  private piece: Piece | null = null;
  private of = $state("");

  private asked = $derived({
    rig: { name: desk.rig.name, changes: desk.rig.changes },
    job: { name: desk.job.name, changes: desk.job.changes },
  });
  ready = $derived(!!desk.rig.name && !!desk.job.name && !this.progress);
  /** Whether rig or job are otherwise than when the row was drilled. */
  stale = $derived(!!this.sight && this.of !== JSON.stringify(this.asked));

  async drill(): Promise<void> {
    this.stop();
    this.problem = "";
    this.fault = /^\s*\d{1,9}\s*$/.test(this.holes) ? "" : `holes must be a whole number from 2 to 20, got "${this.holes.trim()}"`;
    if (this.fault) return;
    const of = JSON.stringify(this.asked);
    const piece = this.works.begin({ row: { ...this.asked, holes: Number(this.holes) } }, (progress) => {
      if (this.piece === piece) this.progress = progress;
    });
    this.piece = piece;
    this.progress = { says: "mapping the generator", done: 0, total: 1 };
    try {
      const { row, sight } = await rowOf(await piece.answer);
      if (this.piece !== piece) return;
      this.name = row;
      this.sight = sight;
      this.of = of;
    } catch (fault) {
      if (this.piece !== piece) return;
      if (fault instanceof WorkRefused && fault.field === "holes") this.fault = fault.message;
      else this.problem = saidOf(fault);
    } finally {
      if (this.piece === piece) this.progress = null;
    }
  }

  stop(): void {
    this.piece?.stop();
  }

  /** Leave the page: the server stops what is still going. */
  leave(): void {
    this.piece = null;
    this.progress = null;
    this.works.end();
  }
}

export const rows = new Rows();
