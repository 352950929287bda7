// Light or dark: as the system has it, or as the user chose.

const asks = matchMedia("(prefers-color-scheme: dark)");

class Light {
  chosen = $state(localStorage.getItem("gapwright light") ?? "");
  system = $state(asks.matches);
  dark = $derived(this.chosen ? this.chosen === "dark" : this.system);

  constructor() {
    asks.addEventListener("change", (event) => {
      this.system = event.matches;
      this.show();
    });
    this.show();
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
