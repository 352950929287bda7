// A step up or down from a typed quantity: to the next preferred value, unit kept as typed.

const E12 = [1, 1.2, 1.5, 1.8, 2.2, 2.7, 3.3, 3.9, 4.7, 5.6, 6.8, 8.2, 10];

/** The text one step further; the text itself where it holds no number to step. */
export function stepped(text: string, up: boolean, pure: boolean): string {
  const found = /^\s*(-?\d+(?:\.\d+)?(?:e-?\d+)?)(.*)$/i.exec(text);
  if (!found?.[1]) return text;
  const value = Number(found[1]);
  const next = pure ? evenStep(value, up) : preferredStep(value, up);
  return `${next}${found[2] ?? ""}`;
}

function evenStep(value: number, up: boolean): number {
  const step = Math.abs(value) < 0.05 ? 0.001 : Math.abs(value) <= 2 ? 0.05 : 1;
  return Number((value + (up ? step : -step)).toPrecision(6));
}

/** Next value of the E12 series of IEC 60063 above or below. */
function preferredStep(value: number, up: boolean): number {
  if (value <= 0) return value;
  const decade = 10 ** Math.floor(Math.log10(value) + 1e-9);
  const lead = value / decade;
  const next = up ? E12.find((step) => step > lead * 1.0001) : E12.findLast((step) => step < lead * 0.9999);
  return Number(((next ?? 0.82) * decade).toPrecision(3));
}
