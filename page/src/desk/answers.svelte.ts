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
  /** Number of the latest ask. */
  latest = $state(0);
  stopped = $state(false);
  /** Differences that came after the answers that they compare. */
  private told = $state.raw<{ ask: number; of: Record<string, Difference[]> }>({ ask: 0, of: {} });

  glance = $derived(this.glances.edited ?? null);
  forecast = $derived(this.forecasts.edited ?? null);
  /** The forecast on the screen belongs to what is in the fields now. */
  current = $derived(this.forecast?.ask === this.latest);
  settled = $derived(this.current && this.forecast?.grade === "done");
  flow = $derived(newest(this.glance, this.forecast)?.flow ?? null);

  /** The flow of another rig or of the saved files, if it has been drawn. */
  flowOf(of: string) {
    return newest(this.glances[of], this.forecasts[of])?.flow ?? null;
  }

  differences(of: string): Difference[] {
    const later = this.told.ask === this.latest ? this.told.of[of] : undefined;
    return later ?? newest(this.glance, this.forecast)?.differences[of] ?? [];
  }

  asked(ask: number): void {
    this.latest = ask;
    this.progress = null;
    this.fault = "";
    this.stopped = false;
  }

  hear(message: Message): void {
    if (message.message === "preparing") {
      this.preparing = message.warm ? null : message;
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

function newest(glance: GlanceMessage | null | undefined, forecast: ForecastMessage | null | undefined) {
  if (!forecast || (glance && glance.ask > forecast.ask)) return glance ?? null;
  return forecast;
}
