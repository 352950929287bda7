// Calls about captures. Windows and sparks come as packed columns, not as JSON.

import { call, Gone, Refused } from "./calls";
import type { Beside, Captures, Changes, ClassTimeline, EnergySight, Farness, KeptWords, LedgerSight, ReadAnswer, SetupAnswer, SparkSight, Taken, SaidForm } from "./shapes";

export interface Rig {
  name: string;
  changes: Changes;
}

export interface Columns {
  columns: Record<string, Float32Array | Float64Array>;
  told: Record<string, unknown>;
}

const AGAIN = 2000;

/** Ask again while the bench is still being prepared. */
async function whenReady<T>(ask: () => Promise<T>, stop: AbortSignal): Promise<T> {
  for (;;) {
    try {
      return await ask();
    } catch (fault) {
      if (stop.aborted || !(fault instanceof Refused) || fault.status !== 503) throw fault;
      await new Promise((done) => setTimeout(done, AGAIN));
    }
  }
}

export const captures = () => call<Captures>("GET", "/api/captures");
export const saidForm = (said: Changes, stop?: AbortSignal) => call<SaidForm>("POST", "/api/captures/said", { said }, stop);
export const keptSaid = (name: string) => call<KeptWords>("GET", `/api/captures/${encodeURIComponent(name)}/said`);
export const keepSaid = (name: string, said: Changes, etag: string) => call<KeptWords>("PUT", `/api/captures/${encodeURIComponent(name)}/said`, { said, etag });
export const progressOf = (name: string) => call<Farness>("GET", `/api/captures/${encodeURIComponent(name)}/progress`);
export const read = (files: string[], said: Changes, rig: Rig | null, stop: AbortSignal) =>
  whenReady(() => call<ReadAnswer>("POST", "/api/readings", { files, said, rig }, stop), stop);
export const made = (rig: Rig, job: Rig, stop: AbortSignal) =>
  whenReady(() => call<Taken>("POST", "/api/captures/made", { rig, job }, stop), stop);
export const setupOf = (rig: Rig, stop: AbortSignal) =>
  whenReady(() => call<SetupAnswer>("POST", "/api/setup", { rig }, stop), stop);
export const earthPlace = (setup: string, form: "svg" | "png") => `/api/setup/${setup}/earth.${form}`;

const place = (reading: string) => `/api/readings/${reading}`;
const query = (values: Record<string, string | number>) => new URLSearchParams(Object.entries(values).map(([key, value]) => [key, `${value}`])).toString();

export const near = (reading: string, time_s: number, classes: string, stop: AbortSignal) =>
  call<SparkSight>("GET", `${place(reading)}/near?${query({ time_s, classes })}`, undefined, stop);
export const sparkAt = (reading: string, row: number, classes: string) =>
  call<SparkSight>("GET", `${place(reading)}/spark/${row}?${query({ classes })}`);
export const energiesOf = (reading: string, classes: string, stop: AbortSignal) =>
  call<{ energies: EnergySight | null }>("GET", `${place(reading)}/energies?${query({ classes })}`, undefined, stop);
export const besideOf = (reading: string, answer: string, stop: AbortSignal) =>
  call<{ rows: Beside[] }>("GET", `${place(reading)}/beside/${answer}`, undefined, stop);
export const ledgerOf = (reading: string, meters: Changes, answer: string, stop: AbortSignal) =>
  call<LedgerSight>("GET", `${place(reading)}/ledger?${query({ ...meters, answer })}`, undefined, stop);
export const keep = (reading: string) => call<{ name: string }>("POST", `${place(reading)}/keep`);

export const capturedFigure = (reading: string, figure: string, form: "svg" | "png", meters: Changes = {}) =>
  `${place(reading)}/figure/${figure}.${form}?${query(meters)}`;
export const capturedTable = (reading: string, table: string, form: "csv" | "parquet", meters: Changes = {}) =>
  `${place(reading)}/table/${table}.${form}?${query(meters)}`;

/** Ways to take a figure and a table of a capture along. */
export function ways(reading: string, figure: string, table = "", meters: Changes = {}, card = ""): { form: string; place: string }[] {
  return [
    ...(figure ? (["svg", "png"] as const).map((form) => ({ form: form.toUpperCase(), place: capturedFigure(reading, figure, form, meters) })) : []),
    ...(table ? (["csv", "parquet"] as const).map((form) => ({ form: form === "csv" ? "CSV" : "Parquet", place: capturedTable(reading, table, form, meters) })) : []),
    ...(card ? [{ form: "16:9 card", place: `${place(reading)}/card/${card}.png` }] : []),
  ];
}

export const windowOf = (reading: string, span: [number, number], columns: number, stop: AbortSignal) =>
  columnsAt(`${place(reading)}/window?${query({ start_s: span[0], stop_s: span[1], columns })}`, stop);
export const sparksOf = (reading: string, span: [number, number], classes: string, stop: AbortSignal) =>
  columnsAt(`${place(reading)}/sparks?${query({ start_s: span[0], stop_s: span[1], classes })}`, stop);

export const timelineOf = (reading: string, span: [number, number], columns: number, stop: AbortSignal) =>
  call<ClassTimeline>("GET", `${place(reading)}/timeline?${query({ start_s: span[0], stop_s: span[1], columns })}`, undefined, stop);

async function columnsAt(address: string, stop: AbortSignal): Promise<Columns> {
  let reply: Response;
  try {
    reply = await fetch(address, { signal: stop });
  } catch (fault) {
    if (stop.aborted) throw fault;
    throw new Gone();
  }
  if (!reply.ok) {
    const held = await reply.json().catch(() => ({}));
    throw new Refused(reply.status, typeof held.refused === "string" ? held.refused : `the bench answered ${reply.status}`);
  }
  return unpacked(await reply.arrayBuffer());
}

interface Head {
  columns: { name: string; type: "f4" | "f8"; count: number; at: number }[];
  [more: string]: unknown;
}

/** Columns out of one piece: length of the heading, the heading as JSON, the columns behind it. */
export function unpacked(bytes: ArrayBuffer): Columns {
  const length = new DataView(bytes).getUint32(0, true);
  const { columns, ...told } = JSON.parse(new TextDecoder().decode(new Uint8Array(bytes, 4, length))) as Head;
  const begin = 4 + length;
  const found = columns.map(({ name, type, count, at }) => [
    name,
    type === "f4" ? new Float32Array(bytes, begin + at, count) : new Float64Array(bytes, begin + at, count),
  ]);
  return { columns: Object.fromEntries(found), told };
}

/** Send a file, telling how far it is; a plain fetch cannot tell that. */
export function send(file: File, heard: (done: number) => void, stop: AbortSignal): Promise<Taken> {
  return new Promise((done, fail) => {
    const sent = new XMLHttpRequest();
    sent.open("POST", `/api/captures?${query({ name: file.name.slice(-200) })}`);
    sent.responseType = "json";
    sent.upload.onprogress = (event) => heard(event.loaded);
    sent.onload = () => {
      const held = (sent.response ?? {}) as Taken & { refused?: string };
      if (sent.status < 300) done(held);
      else fail(new Refused(sent.status, held.refused ?? `the bench answered ${sent.status}`));
    };
    sent.onerror = () => fail(new Gone());
    sent.onabort = () => fail(new DOMException("stopped", "AbortError"));
    stop.addEventListener("abort", () => sent.abort());
    sent.send(file);
  });
}
