// Long work over its own socket: progress, stopping, and an end to all of it when the page is left.

import { Gone } from "../server/calls";
import type { WorkMessage } from "./shapes";

export class WorkRefused extends Error {
  constructor(
    says: string,
    readonly field: string,
    readonly stopped: boolean,
  ) {
    super(says);
  }
}

export interface Progress {
  says: string;
  done: number;
  total: number;
}

interface Going {
  hear: (progress: Progress) => void;
  done: (answer: string) => void;
  fail: (fault: Error) => void;
}

export interface Piece {
  answer: Promise<string>;
  stop: () => void;
}

export class Works {
  private socket: WebSocket | null = null;
  private going = new Map<number, Going>();
  private number = 0;

  /** Begin a piece of work; its answer is the name under which the plain calls give it. */
  begin(asked: object, hear: (progress: Progress) => void): Piece {
    this.number += 1;
    const work = this.number;
    const answer = new Promise<string>((done, fail) => this.going.set(work, { hear, done, fail }));
    this.send({ work, ...asked });
    return { answer, stop: () => this.send({ stop: work }) };
  }

  /** Leave: the server stops whatever is still going. */
  end(): void {
    this.socket?.close();
    this.socket = null;
  }

  private send(said: object): void {
    const socket = this.joined();
    const text = JSON.stringify(said);
    if (socket.readyState === WebSocket.OPEN) socket.send(text);
    else socket.addEventListener("open", () => socket.send(text), { once: true });
  }

  private joined(): WebSocket {
    if (this.socket) return this.socket;
    const scheme = location.protocol === "https:" ? "wss" : "ws";
    const socket = new WebSocket(`${scheme}://${location.host}/api/work`);
    socket.onmessage = (event) => this.hear(JSON.parse(event.data as string) as WorkMessage);
    socket.onclose = () => {
      if (this.socket === socket) this.socket = null;
      for (const one of this.going.values()) one.fail(new Gone());
      this.going.clear();
    };
    this.socket = socket;
    return socket;
  }

  private hear(message: WorkMessage): void {
    const one = this.going.get(message.work);
    if (!one) return;
    if (message.message === "progress") {
      one.hear(message);
      return;
    }
    this.going.delete(message.work);
    if (message.message === "done") one.done(message.answer);
    else if (message.message === "refused") one.fail(new WorkRefused(message.refused, message.field, message.stopped));
    else one.fail(new Error(message.refused));
  }
}
