// How a number is written for a person; the same rules as gapwright.app.wording.

const PREFIXES: [number, string][] = [
  [1e9, "G"],
  [1e6, "M"],
  [1e3, "k"],
  [1, ""],
  [1e-3, "m"],
  [1e-6, "µ"],
  [1e-9, "n"],
  [1e-12, "p"],
];
const TIMES: [number, number, string][] = [
  [2 * 86400, 86400, "days"],
  [5400, 3600, "h"],
  [90, 60, "min"],
  [1, 1, "s"],
];

export interface Scale {
  name: string;
  size: number;
}

/** Scale in which a value in an SI unit reads as a number between 1 and 1000. */
export function scaleFor(value: number, unit: string): Scale {
  const amount = Math.abs(value);
  if (unit === "s" && amount >= 1) {
    const found = TIMES.find(([least]) => amount >= least);
    if (found) return { size: found[1], name: found[2] };
  }
  if (unit === "%") return { name: unit, size: 0.01 }; // a share, told in percent
  if (unit === "" || amount === 0 || !Number.isFinite(amount)) return { name: unit, size: 1 };
  if (unit === "m" && amount >= 1e-4) return amount < 1 ? { name: "mm", size: 1e-3 } : { name: "m", size: 1 };
  const found = PREFIXES.find(([size]) => amount >= 0.9995 * size) ?? [1e-12, "p"];
  return { name: found[1] + unit, size: found[0] };
}

/** One number with its unit and prefix. */
export function quantity(value: number, unit: string, digits = 3): string {
  const scale = scaleFor(value, unit);
  return `${digitsOf(value / scale.size, digits)}${scale.name ? `\u00a0${scale.name}` : ""}`;
}

function digitsOf(value: number, digits: number): string {
  if (value === 0) return "0";
  const number = Number(value.toPrecision(digits));
  const place = Math.floor(Math.log10(Math.abs(number))) - digits + 1;
  return number.toFixed(Math.max(-place, 0));
}

/** A share as percent, with as many digits as tell it from its neighbours. */
export function share(part: number): string {
  const percent = 100 * part;
  const amount = Math.abs(percent);
  if (amount === 0) return "0\u00a0%";
  if (amount < 0.01) return percent > 0 ? "<\u00a00.01\u00a0%" : ">\u00a0-0.01\u00a0%";
  const places = amount >= 9.95 ? 0 : amount >= 0.95 ? 1 : 2;
  return `${percent.toFixed(places)}\u00a0%`;
}

/** Text broken into lines of at most `most` letters, at spaces. */
export function wrapped(text: string, most: number): string[] {
  const lines: string[] = [];
  for (const word of text.split(" ")) {
    const last = lines[lines.length - 1];
    if (last !== undefined && last.length + 1 + word.length <= most) lines[lines.length - 1] = `${last} ${word}`;
    else lines.push(word);
  }
  return lines;
}

/** Numbers stay on one line with their units. */
export function kept(text: string): string {
  return text.replace(/(\d) (?=(?:[%°µΩA-Za-z³²/]{1,6})(?![A-Za-z]))/g, "$1\u00a0").replace(/(\d) (to|±) (?=[\dn])/g, "$1\u00a0$2\u00a0");
}

/** A whole number with the word for what is counted, in the singular or the plural. */
export function counted(count: number, one: string, several = `${one}s`): string {
  return `${count} ${count === 1 ? one : several}`;
}
