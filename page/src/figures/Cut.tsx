// What the tooth loses, as a small section from lip or cheek (left) to tongue: the outline of the crown, what is cut, what stays as a stump.
// Drawn from the depths of the preparation over the tooth's average width and height; a sign, not a measurement.

import type { Preparation } from "../api/types";
import { teeth } from "../state/words";

const SCALE = 5;

/** Depths of a preparation, mm. */
interface Depths {
  top: number;
  left: number;
  right: number;
}

interface Outlines {
  outer: string;
  stump: string;
}

type At = (share: number) => number;

/** A back tooth: two cusps and a groove between them. */
function back(w: number, h: number, { top, left, right }: Depths, x: At, y: At): Outlines {
  const neck = 0.12 * w;
  const outer = `M${x(neck)} ${y(h)} C${x(-0.02 * w)} ${y(0.7 * h)} ${x(0)} ${y(0.25 * h)} ${x(0.16 * w)} ${y(0.06 * h)} Q${x(0.3 * w)} ${y(-0.03 * h)} ${x(0.5 * w)} ${y(0.12 * h)} Q${x(0.7 * w)} ${y(-0.03 * h)} ${x(0.84 * w)} ${y(0.06 * h)} C${x(w)} ${y(0.25 * h)} ${x(1.02 * w)} ${y(0.7 * h)} ${x(w - neck)} ${y(h)}`;
  const [from, to] = [neck + left * 0.85, w - neck - right * 0.85];
  const lean = 0.05 * (h - top);
  const stump = `M${x(from)} ${y(h)} L${x(from + lean)} ${y(top + 0.6)} Q${x(from + lean + 0.3)} ${y(top)} ${x(from + lean + 1)} ${y(top)} L${x(w / 2)} ${y(top + 0.5)} L${x(to - lean - 1)} ${y(top)} Q${x(to - lean - 0.3)} ${y(top)} ${x(to - lean)} ${y(top + 0.6)} L${x(to)} ${y(h)}`;
  return { outer, stump };
}

/** A front tooth: an edge, a bulge towards the tongue at the neck. */
function front(w: number, h: number, { top, left, right }: Depths, x: At, y: At): Outlines {
  const outer = `M${x(0.08 * w)} ${y(h)} C${x(-0.03 * w)} ${y(0.7 * h)} ${x(0.1 * w)} ${y(0.25 * h)} ${x(0.3 * w)} ${y(0.03 * h)} Q${x(0.38 * w)} ${y(-0.02 * h)} ${x(0.46 * w)} ${y(0.04 * h)} C${x(0.52 * w)} ${y(0.35 * h)} ${x(0.62 * w)} ${y(0.62 * h)} ${x(0.9 * w)} ${y(0.72 * h)} Q${x(1.02 * w)} ${y(0.86 * h)} ${x(0.92 * w)} ${y(h)}`;
  const [from, to] = [0.08 * w + left * 0.85, 0.92 * w - right * 0.85];
  const tip = 0.3 * w + Math.min(left, 0.12 * w);
  const stump = `M${x(from)} ${y(h)} C${x(from - 0.04 * w)} ${y(0.72 * h)} ${x(tip - 0.1 * w)} ${y(top + 0.25 * h)} ${x(tip)} ${y(top)} L${x(tip + 0.09 * w)} ${y(top)} C${x(tip + 0.12 * w)} ${y(0.45 * h)} ${x(to - 0.3 * w)} ${y(0.68 * h)} ${x(to - 0.05 * w)} ${y(0.8 * h)} Q${x(to + 0.02 * w)} ${y(0.9 * h)} ${x(to)} ${y(h)}`;
  return { outer, stump };
}

export function CutPicture({ preparation }: { preparation: Preparation }) {
  const tooth = teeth.value.get(preparation.tooth);
  if (!tooth) return null;
  const depth = (surface: string) => preparation.depths.find((d) => (d as unknown as [string])[0] === surface)?.[1]?.mean ?? 0;
  const [w, h] = [tooth.bl_mm, tooth.crown_mm];
  const depths = { top: depth("occlusal"), left: depth("facial"), right: depth("lingual") };
  const at: At = (v) => Number((4 + v * SCALE).toFixed(1));
  const { outer, stump } = (/incisor|canine/.test(tooth.class) ? front : back)(w, h, depths, at, at);
  const share = preparation.share_removed.mean;
  const [W, H] = [w * SCALE + 8, h * SCALE + 6];
  return (
    <svg viewBox={`0 0 ${W} ${H}`} width={W} height={H} role="img" aria-label={`${preparation.tooth}: ${Math.round(share * 100)} of 100 parts of the crown are cut`}>
      <path d={`${outer}Z`} class="fill-accent-mid" />
      <path d={`${stump}Z`} class="fill-ground" />
      <path d={outer} fill="none" class="line-text" stroke-width="1.2" />
      <path d={stump} fill="none" class="line-text" stroke-width="1" />
      <line x1={at(0) - 2} x2={at(w) + 2} y1={at(h)} y2={at(h)} class="line-rule" stroke-width="1" />
    </svg>
  );
}
