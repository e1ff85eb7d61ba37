// The evidence room: where there is evidence and where not, the forest and funnel of a place on the map, every study arm, and how to add
// or retire one with a reason.

import { useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { ask, Trouble } from "../api/client";
import type { Issue } from "../api/types";
import { Drawn } from "../parts/Drawn";
import { IssueLines } from "../parts/Trouble";
import { begin, jobs } from "../state/jobs";
import { words } from "../state/words";
import { sentence } from "../why/numbers";
import { Studies, type Arm } from "./Studies";

interface Place {
  indication: string;
  material: string;
  build: string;
  arms: number;
  rate_per_100?: number | null;
  low?: number | null;
  high?: number | null;
  years_observed: number;
  chief_cause?: string | null;
}

export function Evidence() {
  const map = useSignal<Place[] | null>(null);
  const arms = useSignal<Arm[] | null>(null);
  const trouble = useSignal<Issue | null>(null);
  const place = useSignal<Place | null>(null);
  const told = (error: unknown) => {
    if (error instanceof Trouble) trouble.value = error.issue;
  };
  const load = () => {
    ask<Place[]>("/evidence/map").then((got) => {
      map.value = got;
      place.value ??= [...got].sort((a, b) => b.arms - a.arms)[0] ?? null;
    }).catch(told);
    ask<Arm[]>("/evidence/studies").then((got) => (arms.value = got)).catch(told);
  };
  useEffect(load, []);
  const on = place.value;
  const query = on ? new URLSearchParams({ construct: word(on.indication), material: word(on.material), build: word(on.build) }).toString() : "";
  const mine = on && arms.value ? arms.value.filter((a) => [word(on.indication), word(on.material), word(on.build)].every((w) => a.cell.labels.includes(w))) : [];
  return (
    <main id="main" tabIndex={-1} class="room">
      <h1>Evidence</h1>
      <p class="lead quiet">What the odds rest on: {arms.value?.length ?? "the"} study arms, pooled by place. Choose a place to see its studies; what is not pooled stands in the list with the reason.</p>
      {trouble.value && <IssueLines issue={trouble.value} />}
      {map.value && <Map places={map.value} at={on} choose={(p) => (place.value = p)} />}
      {on && (
        <section class="part" aria-label="Studies of the chosen place">
          <header>
            <h2>{sentence(on.indication)}, {on.material}, {on.build}</h2>
            <span class="quiet">{on.arms} {on.arms === 1 ? "arm" : "arms"}, {Math.round(on.years_observed)} years observed</span>
          </header>
          <div class="two">
            <Drawn path={`/evidence/picture/forest.svg?${query}`} title="Forest: each study, the pool, and what a new setting may see" />
            <Drawn path={`/evidence/picture/funnel.svg?${query}`} title="Funnel: small studies beside large ones" />
          </div>
        </section>
      )}
      <Anew />
      {arms.value && <Studies arms={mine.length > 0 ? mine : arms.value} all={arms.value} changed={load} />}
    </main>
  );
}

/** The odds rest on the last pooling: what was added or retired enters them when the pool is made anew. */
function Anew() {
  const under = jobs.value.some((j) => j.kind === "refit" && (j.state === "running" || j.state === "waiting"));
  return (
    <p class="actions">
      <button type="button" class="action" disabled={under} onClick={() => void begin("refit")}>Pool anew</button>
      <span class="quiet small">What was added or retired enters the odds of every plan only then. Go on meanwhile.</span>
    </p>
  );
}

/** A printed word as it is written in a file. */
function word(printed: string): string {
  const lists = words.value ? [words.value.materials, words.value.builds, words.value.constructs] : [];
  const known = lists.flat().find((w) => w.label === printed);
  return known?.value ?? printed.toLowerCase().replaceAll(" ", "_").replaceAll("-", "_");
}

function Map({ places, at, choose }: { places: Place[]; at: Place | null; choose: (place: Place) => void }) {
  const kinds = [...new Set(places.map((p) => p.indication))];
  const ways = [...new Set(places.map((p) => `${p.material}, ${p.build}`))].sort();
  const most = Math.max(...places.map((p) => p.years_observed), 1);
  return (
    <div class="scroll" tabIndex={0} role="region" aria-label="Map of the evidence">
      <table class="plain-table map">
        <caption class="sr">Years observed and losses by material and by what it was used for; press a place for its studies</caption>
        <thead><tr><th scope="col">Material and build</th>{kinds.map((k) => <th scope="col">{sentence(k)}</th>)}</tr></thead>
        <tbody>
          {ways.map((way) => (
            <tr>
              <th scope="row">{way}</th>
              {kinds.map((k) => {
                const p = places.find((q) => q.indication === k && `${q.material}, ${q.build}` === way);
                return <td>{p ? <Spot place={p} most={most} on={p === at} choose={choose} /> : <span class="quiet">none</span>}</td>;
              })}
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}

/** Area as the years observed, the rate in words. */
function Spot({ place, most, on, choose }: { place: Place; most: number; on: boolean; choose: (place: Place) => void }) {
  const radius = Math.max(1.5, 11 * Math.sqrt(place.years_observed / most));
  const rate = place.rate_per_100 == null ? "no count" : `${place.rate_per_100.toFixed(1)} a year of 100`;
  return (
    <button type="button" class="spot" aria-pressed={on} onClick={() => choose(place)}>
      <svg viewBox="0 0 24 24" width="24" height="24" aria-hidden="true"><circle cx="12" cy="12" r={radius} class={on ? "fill-accent" : "fill-mark"} /></svg>
      <span>{rate}<span class="sr">, {place.arms} arms, {Math.round(place.years_observed)} years observed</span></span>
    </button>
  );
}
