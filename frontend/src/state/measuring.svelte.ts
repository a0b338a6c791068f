// Measuring: what is played, what was recorded and waits, what the takes say.
import { api, type SweepsSent } from "../api/calls";
import type { MicrophoneFile, Practice, Sound, Sweep, Sweeps, TakesTold, Waiting } from "../api/types";
import { Microphone } from "../sound/microphone";
import { aligning } from "./aligning.svelte";
import { Doing } from "./doing.svelte";
import { work } from "./work.svelte";

export type How = "files" | "browser" | "machine";
const LOOK_MS = 120;
const AFTER_MS = 1500;

class Measuring extends Doing {
  sweeps = $state.raw<Sweeps | null>(null);
  told = $state.raw<TakesTold | null>(null);
  practice = $state.raw<Practice | null>(null);
  sound = $state.raw<Sound | null>(null);
  how = $state<How>("files");
  place = $state("");
  asUsed = $state(false);
  output = $state("");
  source = $state("");
  /** The microphone's own file, for every take that is read from now on. */
  microphone = $state.raw<MicrophoneFile | null>(null);
  microphoneTrouble = $state("");
  /** Columns of the recording, from 1; null where there is one only, or no loopback. */
  microphone_column = $state<number | null>(null);
  loopback_column = $state<number | null>(null);
  full_scale_db = $state<number | null>(null);
  note = $state("");
  /** Whether one recording holds every sweep, as a recorder has it that ran all along. */
  inOne = $state(false);
  /** Recordings by the run whose sweep they hold. */
  waiting = $state.raw<Record<string, Waiting>>({});
  level_db = $state<number | null>(null);
  listens = $state(false);
  /** The run that is being recorded; empty where none is. */
  recording = $state("");
  reading = $state(false);

  readonly #microphone = new Microphone();
  #looking: ReturnType<typeof setInterval> | undefined;

  get listed(): Sweep[] {
    return this.sweeps?.sweeps ?? [];
  }

  /** Runs that are recorded, in the order of the sweeps. */
  get ready(): string[] {
    return this.#reached.filter((one) => this.waiting[one]);
  }

  get #reached(): string[] {
    return this.listed.filter((one) => one.number).map((one) => one.run);
  }

  get columns(): number {
    return this.#microphone.columns;
  }

  async load(): Promise<void> {
    this.reading = true;
    try {
      this.sweeps = await api.sweeps();
      const refused = this.told?.refused ?? "";
      this.told = { ...(await api.takes()), refused };
    } catch (refused) {
      this.trouble = refused instanceof Error ? refused.message : String(refused);
    } finally {
      this.reading = false;
    }
  }

  practise(seed: number, faults: number, positions: number): Promise<void> {
    return this.try("rehearsing", async () => {
      this.practice = null;
      this.practice = await api.practise(seed, faults, positions);
    });
  }

  findDevices(): Promise<void> {
    return this.try("looking for devices", async () => {
      this.sound = await api.sound();
      this.output ||= this.sound.devices.find((one) => one.outputs > 0)?.name ?? "";
      this.source ||= this.sound.devices.find((one) => one.inputs > 0)?.name ?? "";
    });
  }

  /** Files in the order of the sweeps that are not recorded yet, or for one run. */
  send(files: File[], run?: string): Promise<void> {
    return this.try("sending", async () => {
      const free = this.#reached.filter((one) => !this.waiting[one]);
      const runs = run ? [run] : free;
      if (this.inOne && files[0]) {
        const held = await api.putRecording(files[0].name, files[0]);
        this.waiting = Object.fromEntries(this.#reached.map((one) => [one, held]));
        return;
      }
      if (files.length > runs.length)
        throw new Error(`${files.length} files were chosen for ${runs.length} sweeps; choose one file for each, in their order.`);
      for (const [index, file] of files.entries()) await this.#keep(runs[index]!, file.name, file);
    });
  }

  async #keep(run: string, name: string, content: Blob): Promise<void> {
    this.waiting = { ...this.waiting, [run]: await api.putRecording(name, content) };
  }

  /** Play other sweeps from now on. */
  chooseSweeps(wanted: SweepsSent): Promise<void> {
    return this.try("making the sweeps", async () => {
      this.sweeps = await api.chooseSweeps(wanted);
    });
  }

  /** The file that came with the microphone. */
  takeMicrophone(file: File): Promise<void> {
    return this.try("reading the microphone's file", async () => {
      this.microphone = null;
      this.microphoneTrouble = "";
      try {
        this.microphone = await api.putMicrophone(file.name, file);
      } catch (refused) {
        this.microphoneTrouble = refused instanceof Error ? refused.message : String(refused);
      }
    });
  }

  forget(run: string): void {
    const { [run]: _gone, ...rest } = this.waiting;
    this.waiting = this.inOne ? {} : rest;
  }

  listen(): Promise<void> {
    return this.try("listening", async () => {
      if (this.how === "browser") await this.#microphone.open(this.sweeps?.rate_hz || 48000);
      this.listens = true;
      clearInterval(this.#looking);
      this.#looking = setInterval(() => void this.#look(), this.how === "browser" ? LOOK_MS : 2 * LOOK_MS);
    });
  }

  deafen(): void {
    clearInterval(this.#looking);
    this.#microphone.close();
    this.listens = false;
    this.level_db = null;
  }

  async #look(): Promise<void> {
    if (this.how === "browser") {
      this.level_db = this.#microphone.peak_db;
      return;
    }
    if (this.recording) return;
    try {
      this.level_db = (await api.level(this.source)).peak_db;
    } catch (refused) {
      this.deafen();
      this.trouble = refused instanceof Error ? refused.message : String(refused);
    }
  }

  /** How many columns a device has to record, so that the microphone's and the loopback's are among them. */
  get inputs(): number {
    return Math.max(1, this.microphone_column ?? 1, this.loopback_column ?? 1);
  }

  /** Record one sweep: played here, or by the player while this listens. */
  record(sweep: Sweep, playHere: boolean): Promise<void> {
    return this.try(`recording ${sweep.run}`, async () => {
      this.recording = sweep.run;
      try {
        if (this.how === "machine") await this.#byMachine(sweep);
        else {
          await this.#microphone.open(this.sweeps?.rate_hz || 48000);
          if (!this.listens) await this.listen();
          this.#microphone.record();
          if (!playHere) return;
          await this.#microphone.play(await api.sweepFile(sweep.number));
          await new Promise((done) => setTimeout(done, AFTER_MS));
          await this.#ended(sweep.run);
        }
      } finally {
        if (this.how === "machine" || playHere) this.recording = "";
      }
    });
  }

  /** End a recording of what the player plays. */
  stop(): Promise<void> {
    return this.try("keeping the recording", async () => {
      const run = this.recording;
      this.recording = "";
      await this.#ended(run);
    });
  }

  async #ended(run: string): Promise<void> {
    await this.#keep(run, `${run}, by the browser.wav`, new Blob([this.#microphone.stop()]));
  }

  async #byMachine(sweep: Sweep): Promise<void> {
    const waiting = await api.record(this.output, this.source, this.inputs, sweep.run);
    if (waiting) this.waiting = { ...this.waiting, [sweep.run]: waiting };
  }

  /** Play the bursts by which the volume is set. */
  bursts(): Promise<void> {
    return this.try("playing the bursts", async () => {
      if (this.how === "machine") await api.record(this.output, this.source, this.inputs, "");
      else {
        await this.#microphone.open(this.sweeps?.rate_hz || 48000);
        await this.#microphone.play(await api.sweepFile(0));
      }
    });
  }

  /** Have the recordings read, and kept if anything of them can be used. */
  read(): Promise<void> {
    return this.try("reading the take", async () => {
      const runs = this.ready;
      const recordings = [...new Set(runs.map((run) => this.waiting[run]!.id))];
      this.told = await api.keepTake({
        recordings,
        runs,
        place: this.place,
        as_used: this.asUsed,
        microphone_column: this.microphone_column,
        loopback_column: this.loopback_column,
        compensation: this.microphone?.id ?? "",
        full_scale_db: this.full_scale_db,
        note: this.note,
      });
      if (!this.told.refused) {
        this.waiting = {};
        this.note = "";
        aligning.forget();
      }
      await work.load();
      void this.load();
    });
  }
}

export const measuring = new Measuring();
