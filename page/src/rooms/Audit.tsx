// Looking back: shares standing by year, causes, drop-outs; grouped as the reader likes.

import { useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { ask, Trouble } from "../api/client";
import { label, words } from "../state/words";
import { sentence } from "../why/numbers";

interface Point {
  years: number;
  share: number;
  low: number | null;
  high: number | null;
  at_risk: number;
}

interface Group {
  group: string;
  restorations: number;
  patients: number;
  years: number;
  events: number;
  curve: Point[];
  rate: [number, number, number];
  small: boolean;
  never_seen: number;
  drop_outs?: { count: number; best: number; worst: number; years: number } | null;
  by_kind: [string, number][];
}

/** One group beside the others, at the rate of all together. */
interface Beside {
  unit: string;
  events: number;
  expected: number;
  ratio: number;
  words: string;
}

interface Audited {
  groups: Group[];
  funnel?: Beside[];
  level: number;
  overdue: number;
}

/** A group as it is said: laboratories and years by their own name, the trade's words by their label. */
function said(by: string, group: string): string {
  const list = { material: "materials", build: "builds", construct: "constructs" }[by] as "materials" | undefined;
  return group === "" ? "All" : sentence(list ? label(list, group) : group.replaceAll("_", " "));
}

export function Audit({ turn }: { turn: number }) {
  const by = useSignal("all");
  const got = useSignal<Audited | null>(null);
  const trouble = useSignal<string | null>(null);
  useEffect(() => {
    ask<Audited>(`/register/audit?by=${by.value}`).then((a) => (got.value = a)).catch((error) => {
      if (error instanceof Trouble) trouble.value = error.issue.what;
    });
  }, [by.value, turn]);
  return (
    <section class="part" aria-labelledby="audit">
      <header>
        <h2 id="audit">Looking back</h2>
        <label><span class="quiet">by </span><select value={by.value} onChange={(e) => (by.value = e.currentTarget.value)}>{(words.value?.groupings ?? []).map((g) => <option value={g.value}>{g.label}</option>)}</select></label>
      </header>
      {trouble.value && !got.value && <p class="quiet">{trouble.value}</p>}
      {got.value && got.value.groups.length === 0 && <p class="quiet">Nothing has been placed yet.</p>}
      {got.value?.funnel && got.value.funnel.length > 1 && (
        <ul class="plain">
          {got.value.funnel.map((f) => <li key={f.unit}>{said(by.value, f.unit)}: {f.events} lost, {f.expected.toFixed(1)} expected at the rate of all together; <span class="quiet">{f.words}</span></li>)}
        </ul>
      )}
      <div class="two">{got.value?.groups.map((g) => <GroupFigure group={g} name={said(by.value, g.group)} key={g.group} />)}</div>
    </section>
  );
}

const [W, H, LEFT, BOTTOM] = [340, 170, 34, 26];

/** Steps of the share standing with its band and the numbers at risk. */
function GroupFigure({ group, name }: { group: Group; name: string }) {
  const points = group.curve;
  if (points.length < 2) return <p>{name}: {group.restorations} entered, none long enough in place to draw; {group.events} lost.</p>;
  const years = Math.max(1, points.at(-1)?.years ?? 1);
  const floor = Math.max(0, Math.floor(Math.min(...points.map((p) => p.low ?? p.share)) * 10) / 10 - 0.05);
  const x = (t: number) => LEFT + (t / years) * (W - LEFT - 12);
  const y = (s: number) => 8 + ((1 - s) / (1 - floor)) * (H - BOTTOM - 8);
  const step = (of: (p: Point) => number | null) => points.reduce((d, p, i) => { const v = of(p) ?? p.share; return i === 0 ? `M${x(p.years)} ${y(v)}` : `${d}H${x(p.years)}V${y(v)}`; }, "");
  const band = `${step((p) => p.high)}${[...points].reverse().map((p, i, all) => { const v = y(p.low ?? p.share); const next = all[i + 1]; return `L${x(p.years)} ${v}${next ? `L${x(p.years)} ${y(next.low ?? next.share)}` : ""}`; }).join("")}Z`;
  const last = points.at(-1);
  const rate = group.rate.map((r) => r.toFixed(1));
  return (
    <figure>
      <figcaption><h3>{name}: {group.events} lost of {group.restorations} in {Math.round(group.years)} years observed</h3></figcaption>
      <svg viewBox={`0 0 ${W} ${H}`} width={W} role="img" aria-label={`Share standing: ${last ? `${Math.round(last.share * 100)} of 100 at ${last.years} years` : "none yet"}`}>
        <path d={band} class="fill-accent-faint" />
        <path d={step((p) => p.share)} fill="none" class="line-accent" stroke-width="2" />
        {[1, (1 + floor) / 2, floor].map((v) => <g><line x1={LEFT} x2={W - 12} y1={y(v)} y2={y(v)} class="line-hair" /><text x={LEFT - 5} y={y(v) + 4} text-anchor="end" class="axis-words">{Math.round(v * 100)}</text></g>)}
        {points.filter((_, i) => i % Math.ceil(points.length / 6) === 0).map((p) => <text x={x(p.years)} y={H - 8} text-anchor="middle" class="axis-words">{Math.round(p.years)}</text>)}
      </svg>
      <p class="small">{rate[0]} a year of 100 ({rate[1]} to {rate[2]}). {group.small ? "Too few to say much. " : ""}{group.never_seen > 0 ? `${group.never_seen} never seen again. ` : ""}{group.by_kind.map(([kind, n]) => `${n} ${label("event_kinds", kind)}`).join("; ")}</p>
      {group.drop_outs && group.drop_outs.count > 0 && <p class="small quiet">{group.drop_outs.count} dropped out: at {Math.round(group.drop_outs.years)} years {Math.round(group.drop_outs.best * 100)} of 100 stand if all of these do, {Math.round(group.drop_outs.worst * 100)} if all were lost when last seen.</p>}
    </figure>
  );
}
