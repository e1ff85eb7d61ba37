// Where the teeth of a jaw stand and how they look from above, in millimetres.
//
// Teeth stand along the beta curve of Braun, Hnat, Fender and Legan 1998 (Angle Orthod 68:29-36; form from memory):
// y = 3.0314 D (1/2 + x/W)^0.8 (1/2 - x/W)^0.8, with D/W fixed at 0.8 and W such that the curve is as long as the teeth are wide
// together. The same curve and outlines as in the papers' arch. A picture to find one's way by, not a measurement.

import type { ToothWords } from "../api/types";

export type Spot = readonly [x: number, y: number];

const DEPTH = 0.8;
const PIECES = 1200;

/** Middle of a tooth and the way outwards (towards lip or cheek). */
export interface Place {
  tooth: ToothWords;
  middle: Spot;
  out: Spot;
}

/** Order along the arch from the patient's right to the left. */
export function order(code: number): number {
  const [quadrant, place] = [Math.floor(code / 10), code % 10];
  return quadrant === 1 || quadrant === 4 ? 8 - place : 7 + place;
}

function beta(u: number): Spot {
  return [u - 0.5, 3.0314 * DEPTH * Math.max(u * (1 - u), 0) ** 0.8];
}

/** Index of the first element that is not smaller. */
function firstNotBelow(sorted: readonly number[], value: number): number {
  let [low, high] = [0, sorted.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((sorted[middle] as number) < value) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** Places of the teeth of one jaw, front up (y grows towards the front). */
export function places(teeth: readonly ToothWords[]): Place[] {
  const row = [...teeth].sort((a, b) => order(a.code) - order(b.code));
  const line = Array.from({ length: PIECES + 1 }, (_, i) => beta(0.5 - 0.5 * Math.cos((Math.PI * i) / PIECES)));
  const lengths = [0];
  for (let i = 1; i <= PIECES; i++) {
    const [a, b] = [line[i - 1] as Spot, line[i] as Spot];
    lengths.push((lengths[i - 1] as number) + Math.hypot(b[0] - a[0], b[1] - a[1]));
  }
  const whole = row.reduce((sum, t) => sum + t.md_mm, 0);
  const size = whole / (lengths[PIECES] as number);
  const at = (length: number) => line[Math.min(firstNotBelow(lengths, length), PIECES)] as Spot;
  let done = 0;
  return row.map((tooth) => {
    const middle = (done + tooth.md_mm / 2) / size;
    done += tooth.md_mm;
    const reach = tooth.md_mm / 4 / size;
    const [a, b, m] = [at(middle - reach), at(middle + reach), at(middle)];
    const length = Math.max(Math.hypot(b[0] - a[0], b[1] - a[1]), 1e-9);
    return { tooth, middle: [m[0] * size, m[1] * size], out: [-(b[1] - a[1]) / length, (b[0] - a[0]) / length] };
  });
}

/** Outlines from above in half widths and half depths; outwards is positive. */
const OUTLINES: Record<string, readonly Spot[]> = {
  molar: [[-0.62, 0.93], [0, 0.86], [0.62, 0.93], [0.95, 0.5], [0.93, -0.5], [0.6, -0.93], [0, -0.88], [-0.6, -0.93], [-0.93, -0.5], [-0.95, 0.5]],
  premolar: [[0, 0.97], [0.7, 0.7], [0.95, 0.1], [0.65, -0.72], [0, -0.97], [-0.65, -0.72], [-0.95, 0.1], [-0.7, 0.7]],
  canine: [[0, 0.98], [0.62, 0.62], [0.95, 0.05], [0.5, -0.7], [0, -0.97], [-0.5, -0.7], [-0.95, 0.05], [-0.62, 0.62]],
  incisor: [[0, 0.97], [0.65, 0.8], [0.96, 0.3], [0.55, -0.45], [0, -0.96], [-0.55, -0.45], [-0.96, 0.3], [-0.65, 0.8]],
};

/** Lines on the chewing surface that tell one kind of tooth from another. */
const FISSURES: Record<string, readonly (readonly Spot[])[]> = {
  molar: [[[-0.6, 0.02], [-0.25, 0.1], [0, -0.02], [0.25, 0.1], [0.6, 0.02]], [[-0.12, 0.5], [-0.06, 0.04], [0.12, -0.5]]],
  premolar: [[[-0.5, -0.02], [0, -0.12], [0.5, -0.02]]],
  canine: [[[-0.45, 0.3], [0, 0.42], [0.45, 0.3]]],
  incisor: [[[-0.6, 0.42], [0, 0.55], [0.6, 0.42]]],
};

const kind = (tooth: ToothWords) => (tooth.class.includes("incisor") ? "incisor" : tooth.class);

/** A spot in the tooth's own frame (along the arch, outwards; mm) on the drawing. */
export function placed({ middle, out }: Place, [along, outwards]: Spot): Spot {
  const side: Spot = [out[1], -out[0]];
  return [middle[0] + along * side[0] + outwards * out[0], middle[1] + along * side[1] + outwards * out[1]];
}

/** Smooth closed curve through spots (uniform Catmull-Rom as cubic Béziers), as path data. */
export function smooth(spots: readonly Spot[], flip: number): string {
  const at = (i: number) => spots[(i + spots.length) % spots.length] as Spot;
  const show = ([x, y]: Spot) => `${x.toFixed(2)} ${(flip * y).toFixed(2)}`;
  const curves = spots.map((_, i) => {
    const [p0, p1, p2, p3] = [at(i - 1), at(i), at(i + 1), at(i + 2)];
    const c1: Spot = [p1[0] + (p2[0] - p0[0]) / 6, p1[1] + (p2[1] - p0[1]) / 6];
    const c2: Spot = [p2[0] - (p3[0] - p1[0]) / 6, p2[1] - (p3[1] - p1[1]) / 6];
    return `C${show(c1)} ${show(c2)} ${show(p2)}`;
  });
  return `M${show(at(0))}${curves.join("")}Z`;
}

/** Outline of a tooth from above; `grown` mm wider all round. */
export function outline(place: Place, grown = 0): Spot[] {
  const half: Spot = [place.tooth.md_mm / 2 - 0.22 + grown, place.tooth.bl_mm / 2 + grown];
  return (OUTLINES[kind(place.tooth)] ?? OUTLINES["premolar"] ?? []).map(([u, v]) => placed(place, [u * half[0], v * half[1]]));
}

export function fissures(place: Place): Spot[][] {
  const half: Spot = [place.tooth.md_mm / 2, place.tooth.bl_mm / 2];
  return (FISSURES[kind(place.tooth)] ?? []).map((line) => line.map(([u, v]) => placed(place, [u * half[0], v * half[1]])));
}

/** The bar between two neighbours: over the place where they touch. */
export function bar(a: Place, b: Place): [Spot, Spot] {
  const [from, to] = [a.middle, b.middle];
  const length = Math.max(Math.hypot(to[0] - from[0], to[1] - from[1]), 1e-9);
  const share = a.tooth.md_mm / (a.tooth.md_mm + b.tooth.md_mm);
  const reach = 1.9 / length;
  const at = (t: number): Spot => [from[0] + t * (to[0] - from[0]), from[1] + t * (to[1] - from[1])];
  return [at(share - reach), at(share + reach)];
}
