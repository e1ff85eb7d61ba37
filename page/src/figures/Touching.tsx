// Wish and prediction, large and touching: the edge between them is what the eye tests. Left the wish, right the prediction as a
// field of 5 by 5 draws, so that its spread is seen too.

import type { Colour } from "../api/types";
import { said, screen, type Lab } from "./colour";

interface Props {
  colour: Colour;
  width?: number;
  height?: number;
}

const lab = (of: readonly number[]): Lab => [of[0] ?? 0, of[1] ?? 0, of[2] ?? 0];

export function Touching({ colour, width = 92, height = 46 }: Props) {
  const wish = lab(colour.wish_lab);
  const draws = colour.predicted_draws.length === 25 ? colour.predicted_draws : Array.from({ length: 25 }, () => colour.predicted_lab);
  const half = width / 2;
  const title = `${colour.tooth}: wished ${said(wish)}; predicted ${said(lab(colour.predicted_lab))}; difference ${colour.difference.median.toFixed(1)} (${colour.difference.low.toFixed(1)} to ${colour.difference.high.toFixed(1)}) dE00`;
  return (
    <svg viewBox={`0 0 ${width} ${height}`} width={width} height={height} role="img" aria-label={title} shape-rendering="crispEdges">
      <rect width={half} height={height} fill={screen(wish).css} />
      {draws.map((d, i) => (
        <rect x={half + ((i % 5) * half) / 5} y={(Math.floor(i / 5) * height) / 5} width={half / 5 + 0.3} height={height / 5 + 0.3} fill={screen(lab(d)).css} />
      ))}
    </svg>
  );
}
