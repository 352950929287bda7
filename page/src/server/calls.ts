// Plain calls. A refusal arrives as `Refused`, with the words of the command line.

import type { About, Changes, Drilling, Dropped, Facts, FactTable, Folder, Kind, RowSight, Sheet, Words } from "./shapes";

export class Refused extends Error {
  constructor(
    readonly status: number,
    says: string,
    readonly path: string | null = null,
    readonly sheet: Sheet | null = null,
  ) {
    super(says);
  }
}

/** The server did not answer at all. */
export class Gone extends Error {
  constructor() {
    super("The bench does not answer: its server has ended, or the way to it is cut.");
  }
}

export async function call<T>(way: string, address: string, body?: unknown, stop?: AbortSignal): Promise<T> {
  const raw = body instanceof Blob;
  let reply: Response;
  try {
    reply = await fetch(address, {
      method: way,
      body: body === undefined ? null : raw ? body : JSON.stringify(body),
      headers: body === undefined || raw ? {} : { "Content-Type": "application/json" },
      signal: stop ?? null,
    });
  } catch (fault) {
    if (stop?.aborted) throw fault;
    throw new Gone();
  }
  const held = await reply.json().catch((fault: unknown) => {
    if (stop?.aborted) throw fault; // given up while its body was on the way
    return {};
  });
  if (reply.ok) return held as T;
  const says = typeof held.refused === "string" ? held.refused : `the bench answered ${reply.status}`;
  throw new Refused(reply.status, says, held.path ?? null, held.sheet ?? null);
}

const place = (kind: Kind, name: string) => `/api/file/${kind}/${encodeURIComponent(name)}`;

export const about = () => call<About>("GET", "/api/about");
export const folder = () => call<Folder>("GET", "/api/folder");
export const words = () => call<Words>("GET", "/api/words");
export const sheetOf = (kind: Kind, name: string) => call<Sheet>("GET", place(kind, name));
export const check = (kind: Kind, name: string, changes: Changes, stop: AbortSignal) =>
  call<Sheet>("POST", `/api/check/${kind}`, { name, changes }, stop);
export const save = (kind: Kind, name: string, changes: Changes, etag: string) =>
  call<Sheet>("PUT", place(kind, name), { changes, etag });
export const saveAs = (kind: Kind, name: string, from: string, changes: Changes) =>
  call<Sheet>("POST", place(kind, name), { from, changes });
export const drop = (file: File) =>
  call<Dropped>("POST", `/api/drop?name=${encodeURIComponent(file.name)}`, file as Blob);
export const drillingOf = (answer: string) => call<Drilling>("GET", `/api/answer/${answer}/drilling`);
export const rowOf = (row: string) => call<{ row: string; sight: RowSight }>("GET", `/api/row/${row}`);
export const factTables = () => call<{ tables: FactTable[] }>("GET", "/api/facts");
export const facts = (table: string) => call<Facts>("GET", `/api/facts/${encodeURIComponent(table)}`);

export const textPlace = (kind: Kind, name: string) => `${place(kind, name)}/text`;
export const figurePlace = (answer: string, figure: string, form: "svg" | "png") =>
  `/api/answer/${answer}/figure/${figure}.${form}`;
export const tablePlace = (answer: string, table: string, form: "csv" | "parquet") =>
  `/api/answer/${answer}/table/${table}.${form}`;
export const cardPlace = (answer: string, claim: string, form: "svg" | "png") =>
  `/api/answer/${answer}/card/${claim}.${form}`;
export const reportPlace = (answer: string) => `/api/answer/${answer}/report.html`;
export const rowPlace = (row: string, form: "svg" | "png" | "csv" | "parquet") =>
  `/api/row/${row}/${form === "svg" || form === "png" ? "figure" : "table"}.${form}`;
export const factsPlace = (table: string, form: "csv" | "parquet") => `/api/facts/${table}.${form}`;
