// Recalls that are due, one after the other with one key each: seen and well, something happened, not seen.

import { useSignal } from "@preact/signals";
import { useRef } from "preact/hooks";
import { ask, Trouble } from "../api/client";
import type { Issue } from "../api/types";
import { IssueLines } from "../parts/Trouble";
import { words } from "../state/words";

export interface Overdue {
  restoration: string;
  patient: string;
  teeth: string;
  last_seen: string;
}

export function Due({ list, done }: { list: Overdue[]; done: () => void }) {
  const gone = useSignal<Set<string>>(new Set());
  const asking = useSignal<string | null>(null);
  const trouble = useSignal<Issue | null>(null);
  const holder = useRef<HTMLUListElement>(null);
  const open = list.filter((r) => !gone.value.has(r.restoration));
  const tell = (error: unknown) => {
    if (error instanceof Trouble) trouble.value = error.issue;
  };
  const seen = (key: string) => {
    gone.value = new Set([...gone.value, key]);
    ask("/register/recall", { method: "POST", body: { restorations: [key] } }).then(() => (open.length === 1 ? done() : undefined)).catch((error) => {
      // Not entered: it stands in the list again.
      gone.value = new Set([...gone.value].filter((k) => k !== key));
      tell(error);
    });
    requestAnimationFrame(() => holder.current?.querySelector<HTMLElement>("button")?.focus());
  };
  const most = useSignal(12);
  const said = useSignal("");
  const entered = (what: string) => {
    [asking.value, said.value] = [null, `Entered: ${what}.`];
    done();
  };
  const keys = (event: KeyboardEvent, key: string) => {
    if (event.key === "w") seen(key);
    else if (event.key === "e") asking.value = key;
    else return;
    event.preventDefault();
  };
  return (
    <section class="part" aria-labelledby="due">
      <header><h2 id="due">{open.length} {open.length === 1 ? "recall is" : "recalls are"} due</h2><span class="quiet">w: seen and well; e: something happened.</span></header>
      {open.length === 0 && <p class="quiet">Nobody is overdue. A restoration stands here a year after it was last seen.</p>}
      {trouble.value && <IssueLines issue={trouble.value} />}
      <p role="status">{said.value}</p>
      <ul class="lines" ref={holder}>
        {open.slice(0, most.value).map((r) => (
          <li key={r.restoration} onKeyDown={(e) => keys(e, r.restoration)}>
            <span>{r.patient}</span>
            <span>{r.teeth}</span>
            <span class="quiet">{r.restoration}, last seen {r.last_seen}</span>
            <button type="button" class="press" onClick={() => seen(r.restoration)}>seen and well</button>
            <button type="button" class="press" aria-expanded={asking.value === r.restoration} onClick={() => (asking.value = asking.value === r.restoration ? null : r.restoration)}>something happened</button>
            {asking.value === r.restoration && <EventForm of={r.restoration} done={entered} />}
          </li>
        ))}
      </ul>
      {open.length > most.value && <button type="button" class="press" onClick={() => (most.value += 50)}>show more of the other {open.length - most.value}</button>}
    </section>
  );
}

function EventForm({ of, done }: { of: string; done: (words: string) => void }) {
  const trouble = useSignal<Issue | null>(null);
  const send = (event: SubmitEvent) => {
    event.preventDefault();
    const body = { restoration: of, ...Object.fromEntries([...new FormData(event.currentTarget as HTMLFormElement)].filter(([, v]) => v !== "")) };
    ask<{ done: string }>("/register/event", { method: "POST", body }).then((got) => done(got.done)).catch((error) => {
      if (error instanceof Trouble) trouble.value = error.issue;
    });
  };
  return (
    <form class="form" onSubmit={send} aria-label={`What happened to ${of}`}>
      <label><span>What happened</span><select name="cause">{(words.value?.event_kinds ?? []).map((w) => <option value={w.value}>{w.label}</option>)}</select></label>
      <label><span>What was done</span><select name="consequence">{(words.value?.event_consequences ?? []).map((w) => <option value={w.value}>{w.label}</option>)}</select></label>
      <label><span>Day found</span><input type="date" name="day" /></label>
      <button type="submit" class="action">Enter it</button>
      {trouble.value && <IssueLines issue={trouble.value} />}
    </form>
  );
}
