import { expect, test } from "vitest";

import { fitted, panned, scaleOf, toM, toPx, zoomed, type Spot, type View } from "./view";

const view: View = { width: 800, height: 600, centre: [2, 1.5], pxPerM: 120 };

test("a place on the screen and its place in the room are each other's inverse", () => {
  const spot: Spot = [3.25, 0.5];
  const back = toM(view, toPx(view, spot));
  expect(back[0]).toBeCloseTo(spot[0]);
  expect(back[1]).toBeCloseTo(spot[1]);
});

test("y runs up the page", () => {
  expect(toPx(view, [0, 2])[1]).toBeLessThan(toPx(view, [0, 1])[1]);
});

test("zooming leaves the point under the pointer where it is", () => {
  const about: Spot = [700, 100];
  const near = zoomed(view, 1.7, about);
  expect(toM(near, about)[0]).toBeCloseTo(toM(view, about)[0]);
  expect(toM(near, about)[1]).toBeCloseTo(toM(view, about)[1]);
});

test("panning moves the paper with the pointer", () => {
  const moved = toPx(panned(view, 30, -20), [1, 1]);
  const before = toPx(view, [1, 1]);
  expect(moved[0] - before[0]).toBeCloseTo(30);
  expect(moved[1] - before[1]).toBeCloseTo(-20);
});

test("the whole room fits into the view, and the scale follows from it", () => {
  const corners: Spot[] = [
    [0, 0],
    [6, 0],
    [6, 4],
    [0, 4],
  ];
  const found = fitted([0, 0, 6, 4], 900, 700);
  for (const corner of corners) {
    const [x, y] = toPx(found, corner);
    expect(x).toBeGreaterThan(0);
    expect(x).toBeLessThan(900);
    expect(y).toBeGreaterThan(0);
    expect(y).toBeLessThan(700);
  }
  expect(scaleOf(found) * found.pxPerM).toBeCloseTo(4700);
});
