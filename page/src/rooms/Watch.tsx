// Looking out: what is changing, by laboratory. An alarm is a sentence with what to look at first; every chart is drawn against its limit;
// what cannot be watched yet is said with the reason.

import { useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { ask, Trouble } from "../api/client";
import type { Issue } from "../api/types";
import { IssueLines } from "../parts/Trouble";
import { digits, sentence } from "../why/numbers";

interface Alert {
  signalled: string;
  words: string;
}

export interface Chart {
  laboratory: string;
  material: string;
  watched: string;
  cases: number;
  baseline: number;
  baseline_interval: [number, number];
  limit: number;
  false_alarm: number;
  to_see_doubling: number;
  alerts: Alert[];
  path: [string, number][];
}

interface Watched {
  charts: Chart[];
  not_yet: { what: string; why: string }[];
}

export function Watch({ turn }: { turn: number }) {
  const got = useSignal<Watched | null>(null);
  const trouble = useSignal<Issue | null>(null);
  useEffect(() => {
    ask<Watched>("/register/watch").then((w) => ([got.value, trouble.value] = [w, null])).catch((error) => {
      if (error instanceof Trouble) trouble.value = error.issue;
    });
  }, [turn]);
  if (trouble.value) return <section class="part" aria-labelledby="watch"><header><h2 id="watch">Looking out</h2></header><IssueLines issue={trouble.value} /></section>;
  if (!got.value) return null;
  const { charts, not_yet } = got.value;
  const alarms = charts.flatMap((c) => c.alerts).sort((a, b) => b.signalled.localeCompare(a.signalled));
  return (
    <section class="part" aria-labelledby="watch">
      <header>
        <h2 id="watch">Looking out{charts.length > 0 ? `: ${alarms.length === 0 ? "nothing is changing" : `${alarms.length} ${alarms.length === 1 ? "alarm" : "alarms"}`}` : ""}</h2>
        <span class="quiet">{charts.length === 0 ? "Nothing is watched yet: a baseline needs counts first." : `${charts.length} ${charts.length === 1 ? "chart" : "charts"} of try-ins and events, by laboratory`}</span>
      </header>
      {alarms.map((a) => <p class="trouble"><strong>{a.signalled}</strong> {sentence(a.words)}</p>)}
      <div class="three">{charts.map((c) => <ChartFigure chart={c} key={`${c.laboratory} ${c.material} ${c.watched}`} />)}</div>
      {not_yet.length > 0 && (
        <details>
          <summary class="press">{not_yet.length} cannot be watched yet</summary>
          <ul class="plain">{not_yet.map((n) => <li>{sentence(n.what)}: <span class="quiet">{n.why}</span></li>)}</ul>
        </details>
      )}
    </section>
  );
}

const [W, H, LEFT, BOTTOM] = [300, 110, 8, 22];

/** The sum that runs up while more comes back than usual, against the limit at which it is told. */
function ChartFigure({ chart }: { chart: Chart }) {
  const { path, limit, alerts, baseline } = chart;
  const of = [chart.laboratory, chart.material.replaceAll("_", " ")].filter(Boolean).join(", ");
  const what = chart.watched.replaceAll("_", " ");
  const [low, high] = chart.baseline_interval;
  const n = digits((high - low) * 100);
  const end = Math.max(limit, ...path.map((p) => p[1])) * 1.08;
  const x = (i: number) => LEFT + (i / Math.max(1, path.length - 1)) * (W - 2 * LEFT);
  const y = (v: number) => 6 + (1 - v / end) * (H - BOTTOM - 6);
  const line = path.map((p, i) => (i === 0 ? `M${x(0).toFixed(1)} ${y(p[1]).toFixed(1)}` : `H${x(i).toFixed(1)}V${y(p[1]).toFixed(1)}`)).join("");
  const now = path.at(-1)?.[1] ?? 0;
  const state = alerts.length > 0 ? `alarm in ${alerts.map((a) => a.signalled.slice(0, 7)).join(", ")}` : now > limit / 2 ? "rising, no alarm" : "as usual";
  return (
    <figure class="chart">
      <figcaption><h3>{of || "All"}, {what}: {state}</h3></figcaption>
      {path.length > 1 && (
        <svg viewBox={`0 0 ${W} ${H}`} width={W} role="img" aria-label={`${of}, ${what}: now ${now.toFixed(1)} of ${limit.toFixed(1)}, at which it is told`}>
          <line x1={LEFT} x2={W - LEFT} y1={y(limit)} y2={y(limit)} class="line-text" stroke-dasharray="5 3" />
          <text x={W - LEFT} y={y(limit) + 13} text-anchor="end" class="axis-words">told from here on</text>
          <path d={line} fill="none" class="line-accent" stroke-width="2" />
          <line x1={LEFT} x2={W - LEFT} y1={y(0)} y2={y(0)} class="line-hair" />
          <text x={LEFT} y={H - 6} class="axis-words">{path[0]?.[0].slice(0, 7)}</text>
          <text x={W - LEFT} y={H - 6} text-anchor="end" class="axis-words">{path.at(-1)?.[0].slice(0, 7)}</text>
        </svg>
      )}
      <p class="small">Usual: {(baseline * 100).toFixed(n)} of 100 ({(low * 100).toFixed(n)} to {(high * 100).toFixed(n)}), from {Math.round(chart.cases)} in all. <span class="quiet">A false alarm once in {Math.round(chart.false_alarm)}; a doubling is seen after about {Math.round(chart.to_see_doubling)}.</span></p>
    </figure>
  );
}
