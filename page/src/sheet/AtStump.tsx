// The second, shorter pass: what only a preparation can tell, asked tooth by tooth once the sheet is at the stump; and what it changed.

import { computed, useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { ask, Trouble } from "../api/client";
import type { Planned } from "../api/types";
import { arch, read } from "../state/case";
import { behind, report, set, sheet, shown } from "../state/desk";
import { type Before, changed, standing } from "../state/stump";
import { number, words } from "../state/words";
import { sentence, share } from "../why/numbers";
import { Field } from "./Field";

/** What is read at the stump, of every tooth that stands; and how much of it is still open. */
export const readings = computed(() => {
  const { teeth, missing } = arch(shown.value);
  const asked = (words.value?.fields ?? []).filter((f) => f.stump && f.field.startsWith("abutment.") && (f.kind === "number" || f.kind === "colour"));
  const standing = teeth.filter((t) => !missing.includes(t));
  const all = standing.flatMap((tooth) => asked.map((f) => ({ ...f, tooth })));
  return { standing, asked, all, open: all.filter((f) => read(shown.value, f.field, f.tooth) === undefined) };
});

/** Goes to the first reading that is still open. */
export function toReadings(): void {
  const first = readings.value.open[0] ?? readings.value.all[0];
  const box = first && document.querySelector<HTMLElement>(`#stump [data-field="${first.field}.${first.tooth}"] input`);
  box?.scrollIntoView({ block: "center" });
  box?.focus({ preventScroll: true });
}

export function AtStump() {
  const at = read(shown.value, "moment") === "stump";
  const { standing, asked, all, open } = readings.value;
  if (!at || all.length === 0) return null;
  return (
    <section class="part" id="stump" aria-labelledby="stump-title">
      <header>
        <h2 id="stump-title">At the stump</h2>
        <span class="quiet">{open.length === 0 ? "All of it is known; the order can be complete." : `${open.length} of ${all.length} still to read: only with them can an order be complete.`}</span>
        <button type="button" class="press no-print" onClick={() => set([{ field: "moment", value: "plan" }])}>back to before preparation</button>
      </header>
      {standing.map((tooth) => (
        <div class="at-stump" role="group" aria-label={`Stump of ${number(tooth)}`} key={tooth}>
          {asked.map((f) => <Field key={f.field} asked={{ ...f, tooth }} alone />)}
        </div>
      ))}
      <Since />
    </section>
  );
}

/** What the stump changed: the quantity itself, before and after, the largest change first. */
function Since() {
  const on = sheet.value?.id;
  const before = useSignal<Before[] | null>(null);
  useEffect(() => {
    before.value = null;
    // Without it the sheet is as good; only the comparison is not told.
    ask<Planned>(`/sheets/${on}/before`).then((got) => (before.value = got.report ? standing(got.report) : null)).catch((error) => { if (!(error instanceof Trouble)) throw error; });
  }, [on]);
  const was = before.value;
  if (!was || !report.value || report.value.moment !== "stump" || behind.value) return null;
  const list = changed(was, report.value);
  return (
    <div class="since" aria-live="polite">
      <h3>Since the plan before preparation</h3>
      {list.length === 0 ? <p class="quiet">Nothing moved by as much as one in a hundred.</p> : (
        <ul class="plain">
          {list.map((c) => (
            <li key={c.title}>
              {sentence(c.title)}: first in {share(c.first[0])} → <strong>{share(c.first[1])}</strong> of 100{c.lost && <>; lost by ten years {share(c.lost[0])} → <strong>{share(c.lost[1])}</strong> of 100</>}
            </li>
          ))}
        </ul>
      )}
    </div>
  );
}
