// What a drawing stands on: the width that its place gives it, and the height of a letter there.

export class Ground {
  width = $state(0);
  /** In pixels; asked again whenever the width changes. */
  letter = $derived.by(() => {
    this.width;
    return Number.parseFloat(getComputedStyle(document.documentElement).fontSize);
  });
}
