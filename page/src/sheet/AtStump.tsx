// The second, shorter pass: what only a preparation can tell, asked tooth by tooth once the sheet is at the stump.

import { arch, read } from "../state/case";
import { set, shown } from "../state/desk";
import { number, words } from "../state/words";
import { Field } from "./Field";

export function AtStump() {
  if (read(shown.value, "moment") !== "stump") return null;
  const { teeth, missing } = arch(shown.value);
  const asked = (words.value?.fields ?? []).filter((f) => f.stump && f.field.startsWith("abutment.") && (f.kind === "number" || f.kind === "colour"));
  const standing = teeth.filter((t) => !missing.includes(t));
  if (asked.length === 0 || standing.length === 0) return null;
  const open = standing.flatMap((t) => asked.filter((f) => read(shown.value, f.field, t) === undefined)).length;
  return (
    <section class="part" id="stump" aria-labelledby="stump-title">
      <header>
        <h2 id="stump-title">At the stump</h2>
        <span class="quiet">{open === 0 ? "All of it is known; the order can be complete." : `${open} of ${standing.length * asked.length} still to read: only with them can an order be complete.`}</span>
        <button type="button" class="press no-print" onClick={() => set([{ field: "moment", value: "plan" }])}>back to before preparation</button>
      </header>
      {standing.map((tooth) => (
        <div class="at-stump" role="group" aria-label={`Stump of ${number(tooth)}`} key={tooth}>
          {asked.map((f) => <Field key={f.field} asked={{ ...f, tooth }} alone />)}
        </div>
      ))}
    </section>
  );
}
