// The live socket: one request in flight, and only the newest of those that wait is ever sent.
import type { Look } from "./calls";
import { readFrame, type Frame } from "./frames";
import type { Command } from "./types";

export type Size = [width_mm: number, height_mm: number];
export type Request = { key: string; commands: Command[]; look: Look; base: number; curves_mm: Size | null };

export class Live {
  #socket: WebSocket | null = null;
  #waiting: (Request & { seq: number }) | null = null;
  #inFlight = 0;
  #seq = 0;
  #retry_ms = 250;

  constructor(
    private readonly heard: (frame: Frame) => void,
    private readonly connected: (yes: boolean) => void,
  ) {}

  open(): void {
    const socket = new WebSocket(`ws://${location.host}/live`);
    socket.binaryType = "arraybuffer";
    socket.onopen = () => {
      this.#retry_ms = 250;
      this.#inFlight = 0;
      this.connected(true);
      this.#sendNewest();
    };
    socket.onmessage = (event: MessageEvent<ArrayBuffer>) => this.#hear(readFrame(event.data));
    socket.onclose = () => {
      this.#socket = null;
      this.connected(false);
      setTimeout(() => this.open(), this.#retry_ms);
      this.#retry_ms = Math.min(this.#retry_ms * 2, 4000);
    };
    this.#socket = socket;
  }

  /** Ask for what follows the hand; returns the number that the answer will carry. */
  ask(request: Request): number {
    this.#seq += 1;
    this.#waiting = { ...request, seq: this.#seq };
    this.#sendNewest();
    return this.#seq;
  }

  /** Number of the newest request. */
  get latest(): number {
    return this.#seq;
  }

  /** Forget what waits: the hand has let go. */
  forget(): void {
    this.#waiting = null;
  }

  #hear(frame: Frame): void {
    if (frame.kind === "followed" || frame.kind === "refused") {
      this.#inFlight = 0;
      this.#sendNewest();
    }
    this.heard(frame);
  }

  #sendNewest(): void {
    if (this.#inFlight || !this.#waiting || this.#socket?.readyState !== WebSocket.OPEN) return;
    this.#inFlight = this.#waiting.seq;
    this.#socket.send(JSON.stringify(this.#waiting));
    this.#waiting = null;
  }
}
