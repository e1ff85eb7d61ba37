// What the tooth loses, as a small section: the outline of the crown, what is cut in ink, what stays as a stump. Drawn from the
// depths of the preparation over the tooth's average width and height; a sign, not a measurement.

import type { Preparation } from "../api/types";
import { teeth } from "../state/words";

const SCALE = 5;

interface Props {
  preparation: Preparation;
}

export function CutPicture({ preparation }: Props) {
  const tooth = teeth.value.get(preparation.tooth);
  if (!tooth) return null;
  const depth = (surface: string) => preparation.depths.find((d) => (d as unknown as [string])[0] === surface)?.[1]?.mean ?? 0;
  const [w, h] = [tooth.bl_mm, tooth.crown_mm];
  const [top, left, right] = [depth("occlusal") || depth("incisal"), depth("facial"), depth("lingual") || depth("palatal")];
  const x = (v: number) => 4 + v * SCALE;
  const y = (v: number) => 4 + v * SCALE;
  // Widest a third down, narrower at the neck; outer crown, then the stump inside it.
  const neck = 0.12 * w;
  const outer = `M${x(neck)} ${y(h)} C${x(-0.02 * w)} ${y(0.7 * h)} ${x(0)} ${y(0.25 * h)} ${x(0.16 * w)} ${y(0.06 * h)} Q${x(0.3 * w)} ${y(-0.03 * h)} ${x(0.5 * w)} ${y(0.12 * h)} Q${x(0.7 * w)} ${y(-0.03 * h)} ${x(0.84 * w)} ${y(0.06 * h)} C${x(w)} ${y(0.25 * h)} ${x(1.02 * w)} ${y(0.7 * h)} ${x(w - neck)} ${y(h)}`;
  const [sl, sr] = [neck + left * 0.85, w - neck - right * 0.85];
  const lean = 0.05 * (h - top);
  const stump = `M${x(sl)} ${y(h)} L${x(sl + lean)} ${y(top + 0.6)} Q${x(sl + lean + 0.3)} ${y(top)} ${x(sl + lean + 1)} ${y(top)} L${x(w / 2)} ${y(top + 0.5)} L${x(sr - lean - 1)} ${y(top)} Q${x(sr - lean - 0.3)} ${y(top)} ${x(sr - lean)} ${y(top + 0.6)} L${x(sr)} ${y(h)}`;
  const share = preparation.share_removed.mean;
  const [W, H] = [w * SCALE + 8, h * SCALE + 6];
  return (
    <svg viewBox={`0 0 ${W} ${H}`} width={W} height={H} role="img" aria-label={`${preparation.tooth}: ${Math.round(share * 100)} of 100 parts of the crown are cut`}>
      <path d={`${outer}Z`} class="fill-accent-mid" />
      <path d={`${stump}Z`} class="fill-ground" />
      <path d={outer} fill="none" class="line-text" stroke-width="1.2" />
      <path d={stump} fill="none" class="line-text" stroke-width="1" />
      <line x1={x(neck) - 4} x2={x(w - neck) + 4} y1={y(h)} y2={y(h)} class="line-rule" stroke-width="1" />
    </svg>
  );
}
