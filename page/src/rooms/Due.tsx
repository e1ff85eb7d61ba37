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
    ask("/register/recall", { method: "POST", body: { restorations: [key] } }).then(() => (open.length === 1 ? done() : undefined)).catch(tell);
    requestAnimationFrame(() => holder.current?.querySelector<HTMLElement>("button")?.focus());
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
      <ul class="lines" ref={holder}>
        {open.slice(0, 12).map((r) => (
          <li key={r.restoration} onKeyDown={(e) => keys(e, r.restoration)}>
            <span>{r.patient}</span>
            <span>{r.teeth}</span>
            <span class="quiet">{r.restoration}, last seen {r.last_seen}</span>
            <button type="button" class="press" onClick={() => seen(r.restoration)}>seen and well</button>
            <button type="button" class="press" aria-expanded={asking.value === r.restoration} onClick={() => (asking.value = asking.value === r.restoration ? null : r.restoration)}>something happened</button>
            {asking.value === r.restoration && <EventForm of={r.restoration} done={done} />}
          </li>
        ))}
      </ul>
      {open.length > 12 && <p class="quiet">and {open.length - 12} more</p>}
    </section>
  );
}

function EventForm({ of, done }: { of: string; done: () => void }) {
  const trouble = useSignal<Issue | null>(null);
  const send = (event: SubmitEvent) => {
    event.preventDefault();
    const body = { restoration: of, ...Object.fromEntries(new FormData(event.currentTarget as HTMLFormElement)) };
    ask("/register/event", { method: "POST", body }).then(done).catch((error) => {
      if (error instanceof Trouble) trouble.value = error.issue;
    });
  };
  return (
    <form class="form" onSubmit={send}>
      <label><span>What happened</span><select name="cause">{(words.value?.causes ?? []).map((w) => <option value={w.value}>{w.label}</option>)}</select></label>
      <label><span>What was done</span><select name="consequence">{(words.value?.consequences ?? []).map((w) => <option value={w.value}>{w.label}</option>)}</select></label>
      <label><span>Day found</span><input type="date" name="day" /></label>
      <button type="submit" class="action">Enter it</button>
      {trouble.value && <IssueLines issue={trouble.value} />}
    </form>
  );
}
