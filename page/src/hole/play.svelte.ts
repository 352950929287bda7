// The moment of the drilling that is shown; one for section and depth together.

const SPAN = 9000; // milliseconds for a whole drilling

class Play {
  /** Share of the drilling that has passed, 0 to 1. */
  at = $state(1);
  running = $state(false);
  private last = 0;

  toggle(): void {
    this.running = !this.running;
    if (!this.running) return;
    if (this.at >= 1) this.at = 0;
    this.last = performance.now();
    requestAnimationFrame((time) => this.step(time));
  }

  set(at: number): void {
    this.running = false;
    this.at = at;
  }

  private step(time: number): void {
    if (!this.running) return;
    this.at = Math.min(1, this.at + Math.max(0, time - this.last) / SPAN);
    this.last = time;
    if (this.at >= 1) this.running = false;
    else requestAnimationFrame((next) => this.step(next));
  }
}

export const play = new Play();
