// The quiet mark: how much of this was assumed, and how old the evidence is. Opens in place; each default leads to its question.

import { useSignal } from "@preact/signals";
import { goTo, report, sheet } from "../state/desk";
import { label, words } from "../state/words";

export function Mark() {
  const open = useSignal(false);
  const plan = report.value;
  const defaults = plan?.defaults ?? sheet.value?.defaults ?? [];
  if (!plan) return null;
  const fields = new Map((words.value?.fields ?? []).map((f) => [f.field, f]));
  const plain = (field: string) => field.replace(/^abutment\.\d+\./, "abutment.").replace(/\[\d+\]/, "");
  return (
    <div class="mark">
      <button type="button" class="ask" aria-expanded={open.value} onClick={() => (open.value = !open.value)}>
        {defaults.length} {defaults.length === 1 ? "default" : "defaults"} used · evidence of {plan.evidence_year}
      </button>
      {!open.value && <p class="print-only">{plan.cautions.join(" ")}</p>}
      {open.value && (
        <div class="why">
          <ul>
            {defaults.map((d) => {
              const field = fields.get(plain(d.field));
              return (
                <li>
                  {field?.row ? <button type="button" class="press" onClick={() => goTo(field.row ?? null)}>{field.words}</button> : (field?.words ?? d.field)}{" "}
                  {d.assumed} <span class="quiet">({label("bases", d.basis)})</span>
                </li>
              );
            })}
          </ul>
          {plan.cautions.map((c) => <p>{c}</p>)}
          {plan.warnings.map((w) => <p>{w}</p>)}
          <p>{plan.program}, seed {plan.seed}, {plan.draws} draws, {plan.fidelity}.</p>
        </div>
      )}
    </div>
  );
}
