import assert from "node:assert/strict";
import test from "node:test";
import { scaleEnd, stacked } from "../src/figures/Dots";
import { said, screen } from "../src/figures/colour";
import { dragged, onStep, type Handle } from "../src/figures/section";
import { round, scales } from "../src/table/scales";
import { digits, interval, share } from "../src/why/numbers";
import { colour, steps } from "../src/three/map";

const quantiles = Array.from({ length: 20 }, (_, i) => 0.01 + 0.02 * i);

test("every quantile is one dot, none on another", () => {
  const dots = stacked([...quantiles, 0.011], 0.4);
  assert.equal(dots.length, 21);
  assert.equal(new Set(dots.map((d) => `${d.x} ${d.level}`)).size, 21);
});

test("the scale holds all but one of twenty dots", () => {
  const end = scaleEnd([quantiles]);
  assert.ok(quantiles.filter((q) => q > end).length <= 1 && end <= 1);
});

test("CIELAB white and black are white and black on the screen; grey keeps its lightness", () => {
  assert.equal(screen([100, 0, 0]).css, "rgb(255 255 255)");
  assert.equal(screen([0, 0, 0]).css, "rgb(0 0 0)");
  // sRGB 119 has L* 50.03 (IEC 61966-2-1 transfer, CIE 1976 lightness).
  assert.equal(screen([50.03, 0, 0]).css, "rgb(119 119 119)");
  assert.equal(screen([60, 120, 0]).shown, false);
  assert.match(said([70, 1, 15]), /70.*1.*15/);
});

const handle: Handle = { id: "thickness", words: "", value: 1, min: 0.4, max: 2.5, step: 0.1, unit: "mm", at: [0, 0], along: [0, -1] };

test("a drag moves a value by its own direction only, on its steps and within its bounds", () => {
  assert.equal(dragged(handle, 1, [5, -0.52]), 1.5);
  assert.equal(dragged(handle, 1, [0, 9]), 0.4);
  assert.equal(onStep(handle, 99), 2.5);
  assert.equal(onStep({ ...handle, step: 0.05 }, 0.62), 0.6);
});

test("scales end on a round number that is not below", () => {
  for (const v of [0.013, 0.2, 0.45, 3, 7.7, 40]) assert.ok(round(v) >= v * 0.999 && round(v) <= 2.5 * v);
  assert.deepEqual(scales([]), {});
});

test("numbers are as fine as their interval is narrow", () => {
  assert.equal(digits(10), 0);
  assert.equal(digits(0.5), 2);
  assert.equal(share(0.002), "fewer than 1");
  assert.equal(interval({ mean: 0.16, median: 0.12, low: 0.03, high: 0.45 }, "share"), "16 of 100 (3 to 45)");
  assert.equal(interval({ mean: 9.15, median: 8.19, low: 5.24, high: 15.41 }, "colour_difference"), "8 dE00 (5 to 15)");
});

test("the map grows lighter all along, and its steps join", () => {
  const light = [0, 0.25, 0.5, 0.75, 1].map((t) => (colour(t).match(/\d+/g) ?? []).map(Number)).map(([r = 0, g = 0, b = 0]) => 0.2126 * r + 0.7152 * g + 0.0722 * b);
  light.slice(1).forEach((l, i) => assert.ok(l > (light[i] as number)));
  const all = steps(2, 10);
  assert.equal(all[0]?.from, 2);
  assert.equal(all.at(-1)?.to, 10);
});
