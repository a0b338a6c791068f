import { expect, test } from "vitest";

import { bothNames, holder, parts, stepOf } from "./advice";

test("a key of the file leads to the field of the thing that the finding is about", () => {
  expect(parts("Give the amplifier's `at`: its middle.", "amplifier[0].at")).toEqual([
    { words: "Give the amplifier's " },
    { words: "at", key: "amplifier[0].at" },
    { words: ": its middle." },
  ]);
  expect(parts("Type `all_channels_watts`.", "amplifier[1].watts")[1]).toEqual({
    words: "all channels watts",
    key: "amplifier[1].all_channels_watts",
  });
  expect(parts("or write `leak = true` if it is large", "opening[2].beyond")[1]).toEqual({
    words: "leak: true",
    key: "opening[2].leak",
  });
});

test("a list of the file leads to where something is added, by the words of a person", () => {
  expect(parts('Add a [[loudspeaker]] with channel = "M+030".', "loudspeaker")).toEqual([
    { words: "Add a " },
    { words: "loudspeaker for M+030", add: "loudspeaker", channel: "M+030" },
    { words: "." },
  ]);
});

test("a table of the file leads to itself, and plain advice stays as it is", () => {
  expect(parts("Name the finishes under [room.finishes]; each", "")[1]).toEqual({ words: "finishes", key: "room.finishes" });
  expect(parts("Move the sofa 25 cm [more or less].", "seat[0].at")).toEqual([{ words: "Move the sofa 25 cm [more or less]." }]);
});

test("each key has the step of its panel", () => {
  expect(holder("model[2].power")).toBe("model[2]");
  expect([stepOf("opening[1].kind"), stepOf("model[0].size"), stepOf("cable.stock[0]"), stepOf("nothing")]).toEqual(["room", "places", "cable", ""]);
});

test("the short name that was chosen stands beside the standard's", () => {
  const systems = [{ name: "2+5+0", shorthand: "5.1.2" }, { name: "4+7+0", shorthand: "7.1.4" }];
  expect(bothNames("2+5+0 has no channel U+110", "5.1.2", systems)).toBe("5.1.2 (2+5+0) has no channel U+110");
  expect(bothNames("2+5+0 has no channel U+110", "2+5+0", systems)).toBe("2+5+0 has no channel U+110");
});
