// Loss over the years: median line, half and nine tenths of what is possible as bands; beyond the longest study the line is dashed.

import type { Curve, Option } from "../api/types";
import { share } from "../why/numbers";

const [W, H, LEFT, BOTTOM] = [320, 170, 30, 26];

export function Fan({ option }: { option: Option }) {
  const curve = option.loss_curve;
  if (!curve || curve.points.length < 2) return null;
  return <FanOf curve={curve} title={`${option.title}: lost over the years`} />;
}

export function FanOf({ curve, title, other }: { curve: Curve; title: string; other?: { year: number; median: number }[] }) {
  const points = curve.points;
  const years = points.at(-1)?.year ?? 15;
  const high = Math.max(0.1, ...points.map((p) => p.high));
  const end = [0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.8, 1].find((e) => e >= high) ?? 1;
  const x = (year: number) => LEFT + (year / years) * (W - LEFT - 34);
  const y = (v: number) => 8 + (1 - Math.min(v / end, 1)) * (H - BOTTOM - 8);
  const band = (low: "low" | "lower", up: "high" | "upper") =>
    `M${points.map((p) => `${x(p.year).toFixed(1)} ${y(p[up]).toFixed(1)}`).join("L")}L${[...points].reverse().map((p) => `${x(p.year).toFixed(1)} ${y(p[low]).toFixed(1)}`).join("L")}Z`;
  const line = (list: readonly { year: number; median: number }[]) => `M${list.map((p) => `${x(p.year).toFixed(1)} ${y(p.median).toFixed(1)}`).join("L")}`;
  const seen = points.filter((p) => p.year <= curve.observed_until + 1e-9);
  const beyond = points.filter((p) => p.year >= (seen.at(-1)?.year ?? 0));
  const ten = points.find((p) => p.year === 10);
  const last = points.at(-1);
  return (
    <svg viewBox={`0 0 ${W} ${H}`} width={W} role="img" aria-label={`${title}. ${ten ? `By ten years ${share(ten.median)} of 100, nine in ten of what is possible within ${share(ten.low)} and ${share(ten.high)}` : ""}`}>
      <path d={band("low", "high")} class="fill-accent-faint" />
      <path d={band("lower", "upper")} class="fill-accent-mid" />
      {[0, end / 2, end].map((v) => (
        <g>
          <line x1={LEFT} x2={x(years)} y1={y(v)} y2={y(v)} class={v === 0 ? "line-rule" : "line-hair"} stroke-width="1" />
          <text x={LEFT - 5} y={y(v) + 4} text-anchor="end" class="axis-words">{Math.round(v * 100)}</text>
        </g>
      ))}
      <path d={line(seen)} fill="none" class="line-accent" stroke-width="2" />
      {beyond.length > 1 && <path d={line(beyond)} fill="none" class="line-accent" stroke-width="2" stroke-dasharray="4 3" />}
      {other && <path d={line(other)} fill="none" class="line-text" stroke-width="1.5" />}
      {[0, 5, 10, 15].filter((t) => t <= years).map((t) => <text x={x(t)} y={H - 8} text-anchor="middle" class="axis-words">{t === years ? `${t} years` : t}</text>)}
      {last && <text x={x(years) + 4} y={y(last.median) + 4} class="axis-words">{share(last.median)}</text>}
    </svg>
  );
}
