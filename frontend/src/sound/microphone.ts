// The browser's microphone, as it is: no echo cancelled, no noise taken out, no level of its own.
import tapUrl from "./tap.js?url";
import { peak_db, waveOf } from "./wave";

const HOLD_MS = 900;

export class Microphone {
  #context: AudioContext | null = null;
  #stream: MediaStream | null = null;
  #blocks: Float32Array[] = [];
  #records = false;
  #held: number | null = null;
  #heldAt = 0;

  get on(): boolean {
    return this.#context !== null;
  }

  get rate_hz(): number {
    return this.#context?.sampleRate ?? 0;
  }

  /** Loudest sample of the last moment, relative to full scale; null while all is silent. */
  get peak_db(): number | null {
    return performance.now() - this.#heldAt < HOLD_MS ? this.#held : null;
  }

  async open(rate_hz: number): Promise<void> {
    if (this.on) return;
    if (!navigator.mediaDevices) throw new Error("This browser lends no microphone to this page; open it under 127.0.0.1.");
    const plain = { echoCancellation: false, noiseSuppression: false, autoGainControl: false };
    this.#stream = await navigator.mediaDevices.getUserMedia({ audio: { ...plain, channelCount: 1 } }).catch(() => {
      throw new Error("The browser did not lend its microphone. Allow it for this page, or record with something else.");
    });
    const context = new AudioContext({ sampleRate: rate_hz });
    await context.audioWorklet.addModule(tapUrl);
    const tap = new AudioWorkletNode(context, "tap", { numberOfOutputs: 0 });
    tap.port.onmessage = (event: MessageEvent<Float32Array>) => this.#hear(event.data);
    context.createMediaStreamSource(this.#stream).connect(tap);
    await context.resume();
    this.#context = context;
  }

  /** How many columns this machine's output keeps apart. */
  get columns(): number {
    return this.#context?.destination.maxChannelCount ?? 0;
  }

  record(): void {
    this.#blocks = [];
    this.#records = true;
  }

  /** End the recording and return it as a WAV file. */
  stop(): ArrayBuffer {
    this.#records = false;
    const file = waveOf(this.#blocks, this.rate_hz);
    this.#blocks = [];
    return file;
  }

  /** Play a file, each of its columns on the output of the same number, and wait until it ends. */
  async play(file: ArrayBuffer): Promise<void> {
    const context = this.#context!;
    const source = new AudioBufferSourceNode(context, { buffer: await context.decodeAudioData(file) });
    context.destination.channelCount = Math.min(source.buffer!.numberOfChannels, this.columns);
    context.destination.channelInterpretation = "discrete";
    source.connect(context.destination);
    const ended = new Promise((done) => (source.onended = done));
    source.start(context.currentTime + 0.3);
    await ended;
  }

  close(): void {
    this.#records = false;
    this.#stream?.getTracks().forEach((track) => track.stop());
    void this.#context?.close();
    this.#context = this.#stream = null;
  }

  #hear(block: Float32Array): void {
    if (this.#records) this.#blocks.push(block);
    const peak = peak_db(block);
    const now = performance.now();
    if (peak !== null && (this.#held === null || peak >= this.#held || now - this.#heldAt > HOLD_MS / 3)) {
      [this.#held, this.#heldAt] = [peak, now];
    }
  }
}
