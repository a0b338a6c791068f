import { expect, test } from "vitest";

import type { Mark, Thing } from "../api/types";
import { length } from "./lengths";
import { checkOf, stepsTo } from "./marks";

const WALLS = [{ kind: "wall", number: 2, name: "wall C–D" }] as Thing[];
const BARE: Mark = {
  id: "S",
  channel: "M+030",
  height_m: 1,
  tapes: [],
  crossing_deg: null,
  wall: null,
  along_m: null,
  from_corner: "",
  note: "",
  off_m: null,
  check_from: "",
  check_m: null,
};
const tape = (corner: string, distance_m: number) => ({ corner, distance_m, at: [0, 0] as [number, number] });

test("two tapes from corners, and a third as the check", () => {
  const mark = { ...BARE, tapes: [tape("A", 1.1), tape("B", 2.2), tape("C", 3.3)] };
  expect(stepsTo(mark, "m", WALLS)).toEqual([
    { distance: length(1.1, "m"), from: "from corner A" },
    { distance: length(2.2, "m"), from: "from corner B" },
  ]);
  expect(checkOf(mark, "m")).toBe(`${length(3.3, "m")} from corner C`);
});

test("along a wall and out from it, in feet where the project is", () => {
  const mark = { ...BARE, wall: 2, along_m: 0.9144, off_m: 0.3048, from_corner: "D", check_m: 1.524, check_from: "corner C, along the wall" };
  expect(stepsTo(mark, "ft", WALLS)).toEqual([
    { distance: length(0.9144, "ft"), from: "from corner D along wall C–D" },
    { distance: length(0.3048, "ft"), from: "square out from it" },
  ]);
  expect(checkOf(mark, "ft")).toBe(`${length(1.524, "ft")} from corner C, along the wall`);
});

test("what is on its wall is not told as out from it, and without a check nothing is said", () => {
  const mark = { ...BARE, wall: 2, along_m: 1, off_m: 0.004, from_corner: "D" };
  expect(stepsTo(mark, "m", WALLS)).toHaveLength(1);
  expect(checkOf(mark, "m")).toBe("");
});
