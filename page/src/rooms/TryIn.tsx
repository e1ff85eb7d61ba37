// How a try-in went: at once, adjusted or sent back; then why, and how long it took.

import { useSignal } from "@preact/signals";
import { ask, Trouble } from "../api/client";
import type { Issue } from "../api/types";
import { IssueLines } from "../parts/Trouble";
import { words } from "../state/words";

export function TryIn({ of, done }: { of: string; done: (words: string) => void }) {
  const trouble = useSignal<Issue | null>(null);
  const outcome = useSignal<string | null>(null);
  const causes = useSignal<string[]>([]);
  const { tryin_outcomes: outcomes = [], tryin_causes: why = [], tryin_stages: stages = [] } = words.value ?? {};
  // The first of the list is the good one: it has no cause.
  const good = outcome.value !== null && outcome.value === outcomes[0]?.value;
  const turn = (cause: string) => (causes.value = causes.value.includes(cause) ? causes.value.filter((c) => c !== cause) : [...causes.value, cause]);
  const send = (event: SubmitEvent) => {
    event.preventDefault();
    const form = new FormData(event.currentTarget as HTMLFormElement);
    const minutes = String(form.get("minutes") ?? "");
    const body = {
      restoration: of,
      outcome: outcome.value,
      causes: good ? [] : causes.value,
      ...(minutes === "" ? {} : { minutes: Number(minutes) }),
      ...Object.fromEntries(["stage", "day"].flatMap((name) => (form.get(name) ? [[name, form.get(name)]] : []))),
    };
    ask<{ done: string }>("/register/tryin", { method: "POST", body }).then((got) => done(got.done)).catch((error) => {
      if (error instanceof Trouble) trouble.value = error.issue;
    });
  };
  return (
    <form class="form try-in" onSubmit={send} aria-label={`Try-in of ${of}`}>
      <fieldset>
        <legend>How did it go?</legend>
        <div class="choices">{outcomes.map((o) => <button type="button" data-value={o.value} aria-pressed={outcome.value === o.value} onClick={() => (outcome.value = o.value)}>{o.label}</button>)}</div>
      </fieldset>
      {outcome.value !== null && !good && (
        <fieldset>
          <legend>Why? All that apply.</legend>
          <div class="choices">{why.map((c) => <button type="button" data-value={c.value} aria-pressed={causes.value.includes(c.value)} onClick={() => turn(c.value)}>{c.label}</button>)}</div>
        </fieldset>
      )}
      {outcome.value !== null && !good && <label><span>Minutes of adjustment</span><input type="number" name="minutes" min="0" max="600" step="any" inputMode="decimal" /></label>}
      <label><span>As what</span><select name="stage">{stages.map((s) => <option value={s.value} selected={s === stages.at(-1)}>{s.label}</option>)}</select></label>
      <label><span>Day (empty: today)</span><input type="date" name="day" /></label>
      <button type="submit" class="action" disabled={outcome.value === null}>Enter the try-in</button>
      {trouble.value && <IssueLines issue={trouble.value} />}
    </form>
  );
}
