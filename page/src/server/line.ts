// The live line: one WebSocket that comes back by itself. Only the latest ask counts.

import type { Ask, Message } from "./shapes";

export type LineState = "joining" | "open" | "gone";

const SHORTEST_WAIT = 400;
const LONGEST_WAIT = 4000;

export class Line {
  private socket: WebSocket | null = null;
  private wait = SHORTEST_WAIT;
  private latest: { ask: number; body: Ask } | null = null;
  private sent = 0;
  private number = 0;
  private ended = false;

  constructor(
    private readonly hear: (message: Message) => void,
    private readonly turn: (state: LineState) => void,
  ) {
    this.join();
  }

  /** Send an ask; gives its number. While the line is down the latest one waits. */
  ask(body: Ask): number {
    this.number += 1;
    this.latest = { ask: this.number, body };
    this.send();
    return this.number;
  }

  /** Keep what is there and stop refining. */
  stop(): void {
    if (this.socket?.readyState === WebSocket.OPEN) this.socket.send(JSON.stringify({ stop: this.number }));
  }

  end(): void {
    this.ended = true;
    this.socket?.close();
  }

  private join(): void {
    const scheme = location.protocol === "https:" ? "wss" : "ws";
    const socket = new WebSocket(`${scheme}://${location.host}/api/live`);
    this.socket = socket;
    socket.onopen = () => {
      this.wait = SHORTEST_WAIT;
      this.sent = 0;
      this.turn("open");
      this.send();
    };
    socket.onmessage = (event) => this.hear(JSON.parse(event.data as string) as Message);
    socket.onclose = () => {
      if (this.ended) return;
      this.turn("gone");
      setTimeout(() => this.join(), this.wait);
      this.wait = Math.min(2 * this.wait, LONGEST_WAIT);
    };
  }

  private send(): void {
    if (!this.latest || this.socket?.readyState !== WebSocket.OPEN || this.sent === this.latest.ask) return;
    this.sent = this.latest.ask;
    this.socket.send(JSON.stringify({ ask: this.latest.ask, ...this.latest.body }));
  }
}
