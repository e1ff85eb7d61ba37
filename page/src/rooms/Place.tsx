// Entering a restoration on the day it is ordered or placed: from the sheet that lies on the desk, so that nothing is typed twice.

import { useSignal } from "@preact/signals";
import { ask, Trouble } from "../api/client";
import type { Issue } from "../api/types";
import { IssueLines } from "../parts/Trouble";
import { named } from "../sheet/pick";
import { report, sheet, shown } from "../state/desk";
import { sentence } from "../why/numbers";

/** Today on this machine, `YYYY-MM-DD`. */
export function today(now = new Date()): string {
  return [now.getFullYear(), now.getMonth() + 1, now.getDate()].map((n) => String(n).padStart(2, "0")).join("-");
}

export function Place({ done }: { done: () => void }) {
  const trouble = useSignal<Issue | null>(null);
  const said = useSignal<string | null>(null);
  const plan = report.value;
  const option = plan && (named(shown.value, plan.options) ?? plan.options[0]);
  const send = (event: SubmitEvent) => {
    event.preventDefault();
    const form = event.currentTarget as HTMLFormElement;
    const ordered = (event.submitter as HTMLButtonElement | null)?.value === "ordered";
    const { day, ...given } = Object.fromEntries([...new FormData(form)].filter(([, v]) => v !== "")) as Record<string, string>;
    const when = ordered ? { ordered: day ?? today() } : day ? { day } : {};
    ask<{ done: string }>("/register/place", { method: "POST", body: { sheet: sheet.value?.id, option: option?.id, ...given, ...when } })
      .then((got) => {
        said.value = `Entered: ${got.done}.`;
        trouble.value = null;
        form.reset();
        done();
      })
      .catch((error) => {
        said.value = null;
        if (error instanceof Trouble) trouble.value = error.issue;
      });
  };
  return (
    <section class="part" aria-labelledby="place">
      <header><h2 id="place">Ordered or placed</h2><span class="quiet">From the sheet on the desk; nothing is typed twice.</span></header>
      {!option && <p class="quiet">Open the sheet of the case first, then come back: what was planned is entered from it.</p>}
      {option && (
        <form class="form" onSubmit={send} aria-label="Ordered or placed">
          <p>{sentence(option.title)}, {plan.subject}</p>
          <label><span>Patient, by a code with a digit</span><input type="text" name="patient" required autocomplete="off" /></label>
          <label><span>Laboratory</span><input type="text" name="laboratory" autocomplete="off" /></label>
          <label><span>Day (empty: today)</span><input type="date" name="day" /></label>
          <p class="actions">
            <button type="submit" value="ordered" class="action">Enter it as ordered</button>
            <button type="submit" value="placed" class="action main">Enter it as placed</button>
          </p>
        </form>
      )}
      <p role="status">{said.value}</p>
      {trouble.value && <IssueLines issue={trouble.value} />}
    </section>
  );
}
