// The picture under the plan: as the file has it, or as it is being laid.
import { work } from "./work.svelte";

type Pixel = [number, number];
export type Laid = { file: string; points: [Pixel, Pixel]; length_m: number };

class Underlay {
  hidden = $state(false);

  get laid(): Laid | null {
    const found = work.state?.underlay;
    if (this.hidden || !found) return null;
    return { file: found.file, points: found.points as [Pixel, Pixel], length_m: found.length_m };
  }
}

export const underlay = new Underlay();
