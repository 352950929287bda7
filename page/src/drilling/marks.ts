// How sparks are told apart: by the shape of their dot as well as by its colour.

export interface Mark {
  colour: string; // a token
  hollow: boolean;
  shape: "round" | "pointed" | "square";
}

const MARKS: Record<string, Mark> = {
  normal: { colour: "spark", hollow: false, shape: "round" },
  partial: { colour: "spark", hollow: true, shape: "round" },
  "transient arc": { colour: "care", hollow: false, shape: "pointed" },
  "stationary arc": { colour: "danger", hollow: false, shape: "square" },
  short: { colour: "ink", hollow: true, shape: "square" },
  contact: { colour: "electrode", hollow: false, shape: "round" },
};
const OTHER: Mark = { colour: "quiet", hollow: true, shape: "round" };

export const markOf = (name: string): Mark => MARKS[name] ?? OTHER;

/** Outline of a mark about a place. */
export function markPath(mark: Mark, x: number, y: number, size: number): string {
  const s = mark.hollow ? size * 0.82 : size;
  if (mark.shape === "square") return `M${x - s * 0.85} ${y - s * 0.85}h${s * 1.7}v${s * 1.7}h${-s * 1.7}z`;
  if (mark.shape === "pointed") return `M${x} ${y - s * 1.2}l${s * 1.2} ${s * 1.2}l${-s * 1.2} ${s * 1.2}l${-s * 1.2} ${-s * 1.2}z`;
  return `M${x - s} ${y}a${s} ${s} 0 1 0 ${2 * s} 0a${s} ${s} 0 1 0 ${-2 * s} 0z`;
}

/** Share of `wanted` dots for each part, whole numbers that add up; the largest remainders round up. */
export function dotsOf(parts: number[], wanted: number): number[] {
  const total = parts.reduce((sum, part) => sum + part, 0);
  if (!total) return parts.map(() => 0);
  const exact = parts.map((part) => (part / total) * wanted);
  const whole = exact.map(Math.floor);
  const order = exact.map((value, place) => [value - Math.floor(value), place] as const).sort((a, b) => b[0] - a[0]);
  let left = wanted - whole.reduce((sum, part) => sum + part, 0);
  for (const [, place] of order) {
    if (left <= 0) break;
    whole[place] = (whole[place] ?? 0) + 1;
    left -= 1;
  }
  return whole;
}
