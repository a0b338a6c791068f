// How a place is found with a tape: distances in the order of measuring, and where each is measured from.
import type { Mark, Thing } from "../api/types";
import { length } from "./lengths";

/** What is nearer to its wall is on it. */
const ON_WALL_M = 0.01;

export type Step = { distance: string; from: string };

export function stepsTo(mark: Mark, unit: string, things: Thing[]): Step[] {
  const step = (metres: number, from: string): Step => ({ distance: length(metres, unit), from });
  if (mark.along_m === null) return mark.tapes.slice(0, 2).map((tape) => step(tape.distance_m, `from corner ${tape.corner}`));
  const wall = things.find((one) => one.kind === "wall" && one.number === mark.wall)?.name ?? "the wall";
  const along = step(mark.along_m, `from corner ${mark.from_corner} along ${wall}`);
  return mark.off_m !== null && mark.off_m >= ON_WALL_M ? [along, step(mark.off_m, "square out from it")] : [along];
}

/** What a third measure must read, in words; empty where there is none. */
export function checkOf(mark: Mark, unit: string): string {
  const third = mark.tapes[2];
  if (third) return `${length(third.distance_m, unit)} from corner ${third.corner}`;
  return mark.check_m === null ? "" : `${length(mark.check_m, unit)} from ${mark.check_from}`;
}
