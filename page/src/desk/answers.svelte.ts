// What the server has answered: the newest picture of each rig that is looked at.

import type { LineState } from "../server/line";
import type { Difference, ForecastMessage, GlanceMessage, Message, Prepared } from "../server/shapes";

export interface Refusal {
  says: string;
  path: string | null;
  kind: string | null;
}

export class Answers {
  line = $state<LineState>("joining");
  preparing = $state.raw<Prepared | null>(null);
  progress = $state.raw<{ says: string; done: number; total: number } | null>(null);
  refusal = $state.raw<Refusal | null>(null);
  fault = $state("");
  glances = $state.raw<Record<string, GlanceMessage>>({});
  forecasts = $state.raw<Record<string, ForecastMessage>>({});
  /** Number of the latest ask, and of the first that asked for the same rig and job. */
  latest = $state(0);
  since = $state(0);
  stopped = $state(false);
  /** Differences that came after the answers that they compare. */
  private told = $state.raw<{ ask: number; of: Record<string, Difference[]> }>({ ask: 0, of: {} });

  glance = $derived(this.glances.edited ?? null);
  forecast = $derived(this.forecasts.edited ?? null);
  /** The forecast on the screen belongs to what is in the fields now. */
  current = $derived((this.forecast?.ask ?? -1) >= this.since);
  settled = $derived(this.current && this.forecast?.grade === "done");
  /** What is drawn: the drilling of what is asked for; until then its first look; until then what was. */
  shown = $derived(
    this.current || (this.forecast && (this.glance?.ask ?? -1) < this.since) ? this.forecast : this.glance,
  );
  flow = $derived(this.shown?.flow ?? null);

  /** The flow of another rig or of the saved files, reckoned in the same way as the one shown. */
  flowOf(of: string) {
    return (this.shown?.message === "forecast" ? this.forecasts : this.glances)[of]?.flow ?? null;
  }

  /** Whether the differences to another are those of whole drillings. */
  isDrilled(of: string): boolean {
    return this.current && of in this.forecasts;
  }

  differences(of: string): Difference[] {
    const later = this.told.ask === this.latest ? this.told.of[of] : undefined;
    const drilled = this.current ? this.forecast?.differences[of] : undefined;
    return later ?? drilled ?? this.glance?.differences[of] ?? [];
  }

  /** An ask was sent; `other` where it is for another rig or job than the one before. */
  asked(ask: number, other: boolean): void {
    this.latest = ask;
    if (other) this.since = ask;
    this.progress = null;
    this.fault = "";
    this.stopped = false;
  }

  hear(message: Message): void {
    if (message.message === "preparing") {
      this.preparing = message.warm ? null : message;
      if (message.failed) this.fault = message.failed;
      return;
    }
    if (message.ask !== this.latest) return;
    switch (message.message) {
      case "glance":
        this.glances = { ...this.glances, [message.of]: message };
        if (message.of === "edited") this.refusal = null;
        break;
      case "forecast":
        this.forecasts = { ...this.forecasts, [message.of]: message };
        this.told = { ask: 0, of: {} };
        if (message.of === "edited") this.refusal = null;
        break;
      case "differences":
        this.told = { ask: message.ask, of: message.differences };
        break;
      case "progress":
        this.progress = message.done >= message.total ? null : message;
        break;
      case "refused":
        if (message.of !== "edited") break;
        this.refusal = { says: message.refused, path: message.path, kind: message.kind };
        this.progress = null;
        break;
      case "fault":
        this.fault = message.refused;
        this.progress = null;
    }
  }

  /** Other files are on the desk now: pictures of the former ones go. */
  clear(): void {
    this.glances = {};
    this.forecasts = {};
    this.refusal = null;
    this.progress = null;
  }

  /** Keep only what is still compared with. */
  keepOnly(names: string[]): void {
    const kept = new Set(["edited", ...names]);
    const only = <T>(all: Record<string, T>) =>
      Object.fromEntries(Object.entries(all).filter(([name]) => kept.has(name)));
    this.glances = only(this.glances);
    this.forecasts = only(this.forecasts);
  }
}
