// Round numbers along an axis.

/** Multiples of a round step from 0 up to `most`, about `wanted` of them. */
export function roundMarks(most: number, wanted = 4): number[] {
  if (!(most > 0)) return [0];
  const rough = most / wanted;
  const decade = 10 ** Math.floor(Math.log10(rough));
  const step = ([1, 2, 2.5, 5, 10].find((one) => one * decade >= rough) ?? 10) * decade;
  return Array.from({ length: Math.floor(most / step + 1e-9) + 1 }, (_, i) => Number((i * step).toPrecision(3)));
}
