// Calls about generators.

import { call } from "../server/calls";
import type { Axis, Chosen, Fault, Generator, Scene, Sized, Swept, Traces, WishField } from "./shapes";

export const generatorOf = (generator: string) => call<Generator>("GET", `/api/generator/${generator}`);
export const sizeForm = () => call<{ fields: WishField[]; kinds: string[] }>("GET", "/api/form/size");
export const checkSize = (rig: Chosen, texts: Record<string, string>, kinds: string[], stop: AbortSignal) =>
  call<{ faults: Fault[] }>("POST", "/api/form/size", { rig, texts, kinds }, stop);
export const sized = (size: string) => call<Sized>("GET", `/api/size/${size}`);
export const take = (size: string, rank: number, name: string) =>
  call<Chosen>("POST", `/api/size/${size}/candidate/${rank}`, { name });
export const checkSweep = (rig: Chosen, job: Chosen | null, axis: Axis, stop: AbortSignal) =>
  call<{ faults: Fault[] }>("POST", "/api/form/sweep", { rig, job, axis }, stop);
export const swept = (sweep: string) => call<Swept>("GET", `/api/sweep/${sweep}`);

export interface Stretch {
  scene: Scene;
  start: number;
  stop: number;
  traces: string[];
  slices: number;
}

const at = (generator: string, scene: Scene) => `/api/generator/${generator}/scene/${scene}`;

export function tracesPlace(generator: string, wanted: Stretch, form = ""): string {
  const asked = new URLSearchParams({ start: `${wanted.start}`, stop: `${wanted.stop}`, slices: `${wanted.slices}` });
  for (const trace of wanted.traces) asked.append("trace", trace);
  return `${at(generator, wanted.scene)}/traces${form ? `.${form}` : ""}?${asked}`;
}

export const tracesOf = (generator: string, wanted: Stretch, stop: AbortSignal) =>
  call<Traces>("GET", tracesPlace(generator, wanted), undefined, stop);

export const schematicPlace = (generator: string, scene: Scene, shows: string, form: "svg" | "png") =>
  `${at(generator, scene)}/schematic.${form}?shows=${shows}`;
export const partsPlace = (generator: string, scene: Scene, form: "csv" | "parquet") =>
  `${at(generator, scene)}/parts.${form}`;
export const findingsPlace = (generator: string, form: "csv" | "parquet") =>
  `/api/generator/${generator}/findings.${form}`;
export const candidatesPlace = (size: string, form: "csv" | "parquet") => `/api/size/${size}/candidates.${form}`;
export const sweepPlace = (sweep: string, form: "svg" | "png" | "csv" | "parquet") =>
  `/api/sweep/${sweep}/${form === "svg" || form === "png" ? "figure" : "table"}.${form}`;
