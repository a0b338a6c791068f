import { expect, test } from "vitest";

import { length as unbroken } from "./lengths";

const length = (metres: number, unit: string): string => unbroken(metres, unit).replaceAll("\u00a0", " ");

test("lengths read as on the sheets: metres to the centimetre, feet and inches to the eighth", () => {
  expect(length(2.405, "m")).toBe("2.40 m");
  expect(length(1.7907, "ft")).toBe("5′ 10 1/2″");
  expect(length(0.009525, "ft")).toBe("3/8″");
  expect(length(8.239125, "ft")).toBe("27′ 0 3/8″");
  expect(length(0.3048, "ft")).toBe("1′ 0″");
});

test("a length never breaks over two lines", () => {
  expect(unbroken(1.7907, "ft")).not.toContain(" ");
});
