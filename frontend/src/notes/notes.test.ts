import { expect, test } from "vitest";

import type { Finding, Following } from "../api/types";
import { foreseen, mended, numbered, quantity, thingKey, unbroken } from "./notes";

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

test("numbers keep their units and walls their letters when a line breaks", () => {
  expect(unbroken("a gap of 25 dB at 64 Hz")).toBe("a gap of 25\u00a0dB at 64\u00a0Hz");
  expect(unbroken("0.68 m along wall D–A")).toBe("0.68\u00a0m along wall D\u2060–\u2060A");
  expect(unbroken("4' 2 1/2\" along wall F–A")).toBe("4'\u00a02\u00a01/2\" along wall F\u2060–\u2060A");
  expect(unbroken("M-110 is quieter")).toBe("M-\u2060110 is quieter");
  expect(unbroken("between 7 and 13 of them")).toBe("between 7 and 13 of them");
});
