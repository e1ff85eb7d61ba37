// The one-way colour map of the papers: a smooth path through CIELAB, so that equal steps look equal and stay ordered in grey.

import { KNOTS } from "bisque:map";
import { screen, type Lab } from "../figures/colour";

/** CIELAB at a share of the range (Catmull-Rom through the knots, walked at constant speed). */
function at(u: number): Lab {
  const spans = KNOTS.length - 1;
  const s = Math.min(Math.floor(u), spans - 1);
  const t = u - s;
  const knot = (k: number) => KNOTS[Math.min(Math.max(s + k, 0), spans)] as readonly number[];
  const [a, b, c, d] = [knot(-1), knot(0), knot(1), knot(2)];
  const one = (i: number) => {
    const [p, q, r, w] = [a[i] as number, b[i] as number, c[i] as number, d[i] as number];
    const [m0, m1, t2, t3] = [0.5 * (r - p), 0.5 * (w - q), t * t, t * t * t];
    return (2 * t3 - 3 * t2 + 1) * q + (t3 - 2 * t2 + t) * m0 + (3 * t2 - 2 * t3) * r + (t3 - t2) * m1;
  };
  return [one(0), one(1), one(2)];
}

const PIECES = 256;
const LENGTHS = (() => {
  const sums = [0];
  for (let i = 1; i <= PIECES; i++) {
    const [p, q] = [at(((i - 1) / PIECES) * (KNOTS.length - 1)), at((i / PIECES) * (KNOTS.length - 1))];
    sums.push((sums[i - 1] as number) + Math.hypot(q[0] - p[0], q[1] - p[1], q[2] - p[2]));
  }
  return sums;
})();

/** Colour for the screen at a share of the range, 0 to 1. */
export function colour(share: number): string {
  const want = Math.min(1, Math.max(0, share)) * (LENGTHS[PIECES] as number);
  const i = Math.max(0, LENGTHS.findIndex((l) => l >= want));
  return screen(at((i / PIECES) * (KNOTS.length - 1))).css;
}

/** The range in steps that can be told apart, each with its ends. */
export function steps(low: number, high: number, count = 8): { from: number; to: number; css: string }[] {
  return Array.from({ length: count }, (_, i) => ({
    from: low + ((high - low) * i) / count,
    to: low + ((high - low) * (i + 1)) / count,
    css: colour((i + 0.5) / count),
  }));
}
