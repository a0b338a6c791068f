import { expect, test } from "vitest";

import { peak_db, waveOf } from "./wave";

test("a recording becomes a file whose head says what follows (RIFF/WAVE, IEEE float)", () => {
  const file = waveOf([new Float32Array([0, 0.5]), new Float32Array([-1])], 48000);
  const view = new DataView(file);
  const text = (at: number, count: number): string => String.fromCharCode(...new Uint8Array(file, at, count));
  expect([text(0, 4), text(8, 8), text(50, 4)]).toEqual(["RIFF", "WAVEfmt ", "data"]);
  expect(view.getUint32(4, true)).toBe(file.byteLength - 8);
  expect(view.getUint16(20, true)).toBe(3);
  expect(view.getUint32(24, true)).toBe(48000);
  expect(view.getUint32(46, true)).toBe(3);
  expect(view.getUint32(54, true)).toBe(12);
  expect([58, 62, 66].map((at) => view.getFloat32(at, true))).toEqual([0, 0.5, -1]);
});

test("half of full scale lies six decibels under it, and silence has no level", () => {
  expect(peak_db(new Float32Array([0, -0.5]))).toBeCloseTo(-6.02, 2);
  expect(peak_db(new Float32Array([0, 0]))).toBeNull();
});
