// Settings: what to type into the amplifier, and what another calibration's values are worth.
import { api, type Wished } from "../api/calls";
import type { AlignmentTold, JudgedTold } from "../api/types";
import { Doing } from "./doing.svelte";
import { work } from "./work.svelte";

/** What an amplifier shows for one run, as typed. */
export type Shown = { distance: string; trim: string; crossover: string };

class Aligning extends Doing {
  told = $state.raw<AlignmentTold | null>(null);
  wished = $state.raw<Wished>({
    all_seats: false,
    slope_db_per_octave: null,
    bass_db: null,
    lfe_limit_hz: null,
    filters: null,
  });
  others = $state<Record<string, Shown>>({});
  judged = $state.raw<JudgedTold | null>(null);
  #room = false;

  align(): Promise<void> {
    return this.try("reading the takes", async () => {
      this.told = await api.alignment(this.wished, this.#room);
    });
  }

  /** Wish something else, and see what that makes of the values. */
  wish(change: Partial<Wished>): Promise<void> {
    this.wished = { ...this.wished, ...change };
    this.judged = null;
    return this.align();
  }

  fitRoom(): Promise<void> {
    this.#room = true;
    return this.align();
  }

  typed(): Promise<void> {
    return this.try("noting the values", async () => {
      this.told = await api.typed(this.wished);
      await work.load();
    });
  }

  /** What was told holds no more: another take is there. */
  forget(): void {
    this.told = null;
    this.judged = null;
  }

  type(run: string, what: keyof Shown, text: string): void {
    this.others[run] = { ...(this.others[run] ?? { distance: "", trim: "", crossover: "" }), [what]: text };
    this.judged = null;
  }

  get anyTyped(): boolean {
    return Object.values(this.others).some((one) => one.distance || one.trim || one.crossover);
  }

  judge(): Promise<void> {
    return this.try("judging", async () => {
      this.judged = await api.judged(tableOf(this.others), this.wished);
    });
  }
}

/** The table that the command line reads, of what was typed. */
export function tableOf(others: Record<string, Shown>): string {
  const cell = (text: string): string => `"${text.replaceAll('"', '""')}"`;
  const lines = Object.entries(others).map(([run, one]) => [run, one.distance, one.trim, one.crossover].map(cell).join(","));
  return ["run,distance,trim,crossover", ...lines].join("\n");
}

export const aligning = new Aligning();
