import { expect, test } from "vitest";

import type { Finding, Following } from "../api/types";
import { foreseen, mended, numbered, quantity, thingKey } from "./notes";

const finding = (code: string, severity: "stop" | "fix" | "note" = "fix"): Finding =>
  ({ code, subject: "sofa", severity }) as Finding;

test("a finding that is gone counts as mended", () => {
  expect(mended([finding("a"), finding("b")], [finding("b")]).map((one) => one.code)).toEqual(["a"]);
});

test("notes that only inform are not heavy", () => {
  expect(numbered([finding("a", "stop"), finding("b", "note")]).map((one) => one.heavy)).toEqual([true, false]);
});

test("a finding's key leads to the thing that holds it", () => {
  expect(thingKey("loudspeaker[3].at")).toBe("loudspeaker[3]");
  expect(thingKey("screen.width")).toBe("screen");
  expect(thingKey("room.ceiling")).toBe("");
});

test("quantities carry three digits and their unit", () => {
  expect(quantity(-12.345, "°")).toBe("−12.3°");
  expect(quantity(0.5, "m")).toBe("0.5 m");
  expect(quantity("wall A–B", "")).toBe("wall A–B");
});

test("a move says which notes would go and which would come, of the stages that follow the hand", () => {
  const now = [finding("layout.in-walkway"), finding("cable.under-rug")];
  const following = { findings: [finding("layout.in-doorway")], stages: ["layout"] } as unknown as Following;
  const { gone, fresh } = foreseen(now, following);
  expect([...gone]).toEqual(["layout.in-walkway@sofa"]);
  expect(fresh.map((one) => one.code)).toEqual(["layout.in-doorway"]);
});
