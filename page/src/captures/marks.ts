// How each class is drawn: a mark of its own and a colour, so that none rests on its colour alone.

export interface Mark {
  colour: string; // a token
  glyph: string; // path around 0, 0 in units of the mark's size
  filled: boolean;
  means: string;
}

const DOT = "m-1 0a1 1 0 1 0 2 0a1 1 0 1 0-2 0";

export const MARKS: Record<string, Mark> = {
  open: { colour: "quiet", glyph: "m0-1v2", filled: false, means: "voltage, but no spark" },
  normal: { colour: "metal-ink", glyph: DOT, filled: true, means: "a good spark" },
  partial: { colour: "electrode-ink", glyph: "m0-1.15l1.1 1.9h-2.2z", filled: true, means: "fired before the store was full" },
  "transient arc": { colour: "danger", glyph: "m-.9-.9l1.8 1.8m0-1.8l-1.8 1.8", filled: false, means: "burnt without waiting, once" },
  "stationary arc": { colour: "danger", glyph: "m-.9-.9h1.8v1.8h-1.8z", filled: true, means: "burnt at one place, again and again" },
  short: { colour: "care-ink", glyph: "m0-1.3l1.3 1.3l-1.3 1.3l-1.3-1.3z", filled: true, means: "no gap: metal touches metal" },
  contact: { colour: "note", glyph: "m0 1.15l1.1-1.9h-2.2z", filled: true, means: "a touch that parted" },
};

export const markOf = (name: string): Mark => MARKS[name] ?? { colour: "quiet", glyph: DOT, filled: true, means: "" };

const scaled = new Map<string, string>();

/** A mark of some size as a piece of a path, to stand behind a move to its middle. */
export function glyph(name: string, size: number): string {
  const key = `${name} ${size}`;
  const known = scaled.get(key);
  if (known) return known;
  const made = markOf(name).glyph.replace(/([a-z])([^a-z]*)/gi, (_, letter: string, numbers: string) => {
    const parts = numbers.match(/-?\d*\.?\d+/g) ?? [];
    const flags = letter === "a" ? [2, 3, 4] : [];
    return letter + parts.map((part, place) => (flags.includes(place % 7) ? part : Number(part) * size)).join(" ");
  });
  scaled.set(key, made);
  return made;
}
