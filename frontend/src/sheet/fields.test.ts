import { expect, test } from "vitest";

import { fieldsOf, group, schemaAt, shown, typed } from "./fields";

const quantity = { anyOf: [{ type: "number" }, { type: "string" }] };
const root = {
  properties: {
    seat: { type: "array", items: { $ref: "#/$defs/Seat" } },
    model: { type: "array", items: { oneOf: [{ $ref: "#/$defs/Box" }, { $ref: "#/$defs/Sub" }] } },
  },
  $defs: {
    Seat: {
      properties: {
        name: { type: "string" },
        ear: { anyOf: [...quantity.anyOf, { type: "array" }] },
        main: { type: "boolean" },
        at: { type: "array", prefixItems: [quantity, quantity] },
        on: { type: "array", items: { type: "string" } },
      },
    },
    Box: { properties: { kind: { enum: ["loudspeaker", "upward"], default: "loudspeaker" } } },
    Sub: { properties: { kind: { const: "subwoofer" }, q: { type: "number" } } },
  },
};

test("the schema says what each key takes", () => {
  const fields = fieldsOf(schemaAt("seat[0]", root, {})!, root);
  expect(fields.map((one) => one.kind)).toEqual(["text", "range", "yes", "numbers", "words"]);
});

test("of several shapes the one that the entry's kind names is taken", () => {
  const node = schemaAt("model[1]", root, { model: [{}, { kind: "subwoofer" }] });
  expect(Object.keys(node!["properties"])).toContain("q");
});

test("numbers stay numbers, quantities with a unit stay as typed, and an emptied field is nothing", () => {
  expect(typed("2.4", "quantity")).toBe(2.4);
  expect(typed("11 ft 6 in", "quantity")).toBe("11 ft 6 in");
  expect(typed("  ", "quantity")).toBeNull();
  expect(typed("0.9 to 1.1", "range")).toEqual([0.9, 1.1]);
  expect(typed("M+030, M-030", "words")).toEqual(["M+030", "M-030"]);
  expect(shown([0.9, 1.1])).toBe("0.9 to 1.1");
});

test("a group of numbers is whole, nothing, or lacks some; no number is made up", () => {
  expect(group(["0.18", "22 cm", "0"])).toEqual({ value: [0.18, "22 cm", 0], missing: [] });
  expect(group(["", " ", ""])).toEqual({ value: null, missing: [] });
  expect(group(["0.18", "", ""])).toEqual({ missing: [1, 2] });
});
