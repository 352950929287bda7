// A fault in the words of the command line; on a page an option is called by its name alone.

export const plain = (says: string) => says.replace(/^--/, "").replace(/(\s)--(?=[a-z])/g, "$1");

/** Faults of a form by field. */
export function byField(faults: { field: string; says: string }[]): Record<string, string> {
  return Object.fromEntries(faults.map((fault) => [fault.field, plain(fault.says)]));
}

/** Unit in which a curve of a sweep is told: shares in percent. */
export function unitOf(curve: { name: string; unit: string }): string {
  return curve.unit || (/_(share|margin)$/.test(curve.name) ? "%" : "");
}
