// Colour and stroke of each line: never colour alone.

export const COLOURS = ["store", "spark", "metal", "wanted", "electrode-ink", "ink", "note", "danger"] as const;
export const DASHES: number[][] = [[], [7, 3], [2, 3], [8, 3, 2, 3], [12, 4], [4, 4], [3, 2], [9, 2, 2, 2, 2, 2]];

export const colour = (place: number) => COLOURS[place % COLOURS.length] ?? "ink";
export const dash = (place: number) => DASHES[place % DASHES.length] ?? [];
