// Entering a restoration on the day it is placed: from the sheet that lies on the desk, so that nothing is typed twice.

import { useSignal } from "@preact/signals";
import { ask, Trouble } from "../api/client";
import type { Issue } from "../api/types";
import { IssueLines } from "../parts/Trouble";
import { named } from "../sheet/pick";
import { report, sheet, shown } from "../state/desk";
import { sentence } from "../why/numbers";

export function Place({ done }: { done: () => void }) {
  const trouble = useSignal<Issue | null>(null);
  const said = useSignal<string | null>(null);
  const plan = report.value;
  const option = plan && (named(shown.value, plan.options) ?? plan.options[0]);
  const send = (event: SubmitEvent) => {
    event.preventDefault();
    const given = Object.fromEntries([...new FormData(event.currentTarget as HTMLFormElement)].filter(([, v]) => v !== ""));
    ask<{ restoration?: string }>("/register/place", { method: "POST", body: { sheet: sheet.value?.id, option: option?.id, ...given } })
      .then((got) => {
        said.value = `Entered${got?.restoration ? ` as ${got.restoration}` : ""}.`;
        trouble.value = null;
        done();
      })
      .catch((error) => {
        if (error instanceof Trouble) trouble.value = error.issue;
      });
  };
  return (
    <section class="part" aria-labelledby="place">
      <header><h2 id="place">Placed today</h2></header>
      {!option && <p class="quiet">Open the sheet of the case first; what was planned is then entered from it.</p>}
      {option && (
        <form class="form" onSubmit={send}>
          <p>{sentence(option.title)}, {plan.subject}</p>
          <label><span>Patient, by a code</span><input type="text" name="patient" required autocomplete="off" /></label>
          <label><span>Laboratory</span><input type="text" name="laboratory" autocomplete="off" /></label>
          <label><span>Day</span><input type="date" name="day" /></label>
          <button type="submit" class="action">Enter it</button>
        </form>
      )}
      <p role="status">{said.value}</p>
      {trouble.value && <IssueLines issue={trouble.value} />}
    </section>
  );
}
