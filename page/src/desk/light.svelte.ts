// Light or dark: as the system has it, or as the user chose.

import { flushSync } from "svelte";

const asks = matchMedia("(prefers-color-scheme: dark)");

class Light {
  chosen = $state(localStorage.getItem("gapwright light") ?? "");
  system = $state(asks.matches);
  /** Paper is light, whatever the screen is. */
  printing = $state(false);
  dark = $derived(!this.printing && (this.chosen ? this.chosen === "dark" : this.system));

  constructor() {
    asks.addEventListener("change", (event) => {
      this.system = event.matches;
      this.show();
    });
    addEventListener("beforeprint", () => this.print(true));
    addEventListener("afterprint", () => this.print(false));
    this.show();
  }

  private print(on: boolean): void {
    this.printing = on;
    this.show();
    flushSync();
  }

  turn(): void {
    this.chosen = this.dark ? "light" : "dark";
    localStorage.setItem("gapwright light", this.chosen);
    this.show();
  }

  private show(): void {
    document.documentElement.dataset.light = this.dark ? "dark" : "light";
  }
}

export const light = new Light();
