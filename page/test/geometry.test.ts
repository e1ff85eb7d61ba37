import assert from "node:assert/strict";
import test from "node:test";
import type { ToothWords } from "../src/api/types";
import { bar, order, outline, places } from "../src/arch/geometry";

// Lower arch; widths and depths of Ash and Nelson's table, mm, as the program has them.
const WIDTHS: [number, string, number, number][] = [[1, "central_incisor", 5, 6], [2, "lateral_incisor", 5.5, 6.5], [3, "canine", 7, 7.5], [4, "premolar", 7, 7.5], [5, "premolar", 7, 8], [6, "molar", 11, 10.5], [7, "molar", 10.5, 10]];
const lower: ToothWords[] = [3, 4].flatMap((q) =>
  WIDTHS.map(([n, kind, md_mm, bl_mm]) => ({ code: q * 10 + n, name: "", labels: {}, jaw: "lower" as const, class: kind, md_mm, bl_mm, crown_mm: 8, root_mm: 13 })));

test("teeth stand from the patient's right to the left", () => {
  assert.deepEqual(places(lower).map((p) => p.tooth.code), [47, 46, 45, 44, 43, 42, 41, 31, 32, 33, 34, 35, 36, 37]);
  assert.equal(order(18), 0);
  assert.equal(order(28), 15);
});

test("neighbours stand as far apart as half their widths together", () => {
  const row = places(lower);
  row.slice(1).forEach((b, i) => {
    const a = row[i] as (typeof row)[number];
    const apart = Math.hypot(b.middle[0] - a.middle[0], b.middle[1] - a.middle[1]);
    // A chord is a little shorter than its arc; 6 % at the sharpest bend of the curve.
    assert.ok(Math.abs(apart - (a.tooth.md_mm + b.tooth.md_mm) / 2) < 0.06 * apart + 0.05, `${a.tooth.code}-${b.tooth.code}: ${apart}`);
  });
});

test("both sides mirror each other, and an outline is as wide as its tooth", () => {
  const row = places(lower);
  const [first, last] = [row[0], row.at(-1)];
  assert.ok(first && last && Math.abs(first.middle[0] + last.middle[0]) < 0.1 && Math.abs(first.middle[1] - last.middle[1]) < 0.1);
  const molar = row.find((p) => p.tooth.code === 46);
  assert.ok(molar);
  const along = outline(molar).map(([x, y]) => (x - molar.middle[0]) * molar.out[1] - (y - molar.middle[1]) * molar.out[0]);
  const width = Math.max(...along) - Math.min(...along);
  assert.ok(width > 0.9 * molar.tooth.md_mm && width <= molar.tooth.md_mm, String(width));
});

test("a bar lies over the place where two teeth touch", () => {
  const row = places(lower);
  const [a, b] = [row[1], row[2]];
  assert.ok(a && b);
  const [p, q] = bar(a, b);
  assert.ok(Math.abs(Math.hypot(q[0] - p[0], q[1] - p[1]) - 3.8) < 1e-9);
});
