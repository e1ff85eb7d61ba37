// How it fails over the years, one small fan a cause on one scale: the likeliest first. Losses of the restoration stand apart from what is
// mended and goes on.

import type { Failure, Option } from "../api/types";
import { label } from "../state/words";
import { sentence, share } from "../why/numbers";

const [W, H] = [130, 48];
const YEARS = [0, 5, 10, 15];
const MANY = 8;

export function Causes({ option }: { option: Option }) {
  const shown = option.failures.filter((f) => (f.risk[1]?.mean ?? 0) >= 0.005).slice(0, MANY);
  const highest = Math.max(0.05, ...shown.map((f) => f.risk[2]?.high ?? 0)) * 0.75;
  const end = [0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.8, 1].find((e) => e >= highest) ?? 1;
  return (
    <>
      <ul class="causes">
        {shown.map((f) => <li><Small failure={f} end={end} /></li>)}
      </ul>
      <p class="small quiet">0 to 15 years; all on a scale from 0 to {Math.round(end * 100)} of 100. A cause below 1 of 200 by ten years is not drawn.</p>
    </>
  );
}

function Small({ failure, end }: { failure: Failure; end: number }) {
  const at = (pick: "low" | "median" | "high") => [0, ...failure.risk.map((r) => r[pick])];
  const x = (i: number) => 1 + ((YEARS[i] ?? 0) / 15) * (W - 2);
  const y = (v: number) => 2 + (1 - Math.min(v / end, 1)) * (H - 4);
  const path = (values: number[]) => values.map((v, i) => `${x(i).toFixed(1)} ${y(v).toFixed(1)}`).join("L");
  const back = [...at("low")].map((v, i) => [x(i), y(v)] as const).reverse().map(([a, b]) => `${a.toFixed(1)} ${b.toFixed(1)}`).join("L");
  const ten = failure.risk[1];
  const words = `${sentence(label("causes", failure.cause))}${failure.process === "loss" ? ", lost" : ""}`;
  return (
    <>
      <svg viewBox={`0 0 ${W} ${H}`} width={W} role="img" aria-label={`${words}: ${ten ? `${share(ten.mean)} of 100 by ten years, ${share(ten.low)} to ${share(ten.high)}` : "not known"}`}>
        <path d={`M${path(at("high"))}L${back}Z`} class="fill-accent-mid" />
        <path d={`M${path(at("median"))}`} fill="none" class="line-accent" stroke-width="1.8" />
        <line x1="1" x2={W - 1} y1={H - 2} y2={H - 2} class="line-rule" stroke-width="1" />
      </svg>
      <p class="small">{words}, {ten ? share(ten.mean) : "?"} of 100 <span class="quiet">{label("consequences", failure.consequence)}</span></p>
    </>
  );
}
