// Twenty quantile dots on a line from nought to the scale's end (Kay, Kola, Hullman and Munson 2016, doi
// 10.1145/2858036.2858558): each dot is one chance in twenty. Dots that would overlap stand on each other.

interface Props {
  quantiles: readonly number[];
  /** Right end of the scale; the same for all dots that are compared. */
  end: number;
  /** The finding, for those who do not see the dots. */
  title: string;
  percent?: boolean;
  accent?: boolean;
}

const WIDTH = 220;
const RADIUS = 3.6;
const BASE = 46;

/** Dots from left to right, each on top of those it would overlap. */
export function stacked(quantiles: readonly number[], end: number): { x: number; level: number }[] {
  const bin = 2 * RADIUS + 0.6;
  const levels = new Map<number, number>();
  return [...quantiles].sort((a, b) => a - b).map((q) => {
    const x = RADIUS + Math.min(Math.max(q / end, 0), 1) * (WIDTH - 2 * RADIUS);
    const slot = Math.round(x / bin);
    const level = levels.get(slot) ?? 0;
    levels.set(slot, level + 1);
    return { x: slot * bin, level };
  });
}

export function Dots({ quantiles, end, title, percent = true, accent = false }: Props) {
  const dots = stacked(quantiles, end);
  const height = Math.max(4, ...dots.map((d) => d.level + 1));
  const top = BASE - height * (2 * RADIUS + 0.4) - 2;
  const label = (v: number) => (percent ? `${Math.round(v * 100)}` : String(Number(v.toPrecision(2))));
  return (
    <svg class="dots" viewBox={`0 ${top} ${WIDTH} ${62 - top}`} width={WIDTH} role="img" aria-label={title}>
      {dots.map((d) => <circle cx={d.x} cy={BASE - RADIUS - 1 - d.level * (2 * RADIUS + 0.4)} r={RADIUS} class={accent ? "fill-accent" : "fill-mark"} />)}
      <line x1="0" x2={WIDTH} y1={BASE} y2={BASE} class="line-rule" stroke-width="1" />
      {[0, end / 2, end].map((v, i) => (
        <text x={(v / end) * WIDTH} y={60} text-anchor={i === 0 ? "start" : i === 1 ? "middle" : "end"} class="axis-words">
          {label(v)}{percent && i === 2 ? " of 100" : ""}
        </text>
      ))}
    </svg>
  );
}

/** A round end of scale that holds nearly all quantiles of what is compared. */
export function scaleEnd(all: readonly (readonly number[])[], least = 0.2): number {
  const high = Math.max(least, ...all.map((q) => [...q].sort((a, b) => a - b)[Math.max(0, q.length - 2)] ?? 0));
  return [0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.8, 1].find((end) => end >= high) ?? Math.ceil(high);
}
