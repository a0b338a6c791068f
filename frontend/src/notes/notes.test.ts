import { expect, test } from "vitest";

import type { Finding } from "../api/types";
import { mended, numbered, quantity, thingKey } from "./notes";

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
