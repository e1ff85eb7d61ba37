// Taking in an old table: first it is said what would be taken and what not, then it is taken.

import { signal, useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { ask, Trouble } from "../api/client";
import type { Issue } from "../api/types";
import { IssueLines } from "../parts/Trouble";
import { follow, jobs, type Job, type Taken } from "../state/jobs";

/** Files given so far; dropped anywhere, they land here. */
export const table = signal<{ name: string; text: string } | null>(null);
export const layout = signal<{ name: string; text: string } | null>(null);

/** Takes a dropped file as table or layout; false when it is neither. */
export async function takeTable(file: File): Promise<boolean> {
  const to = /\.csv$/i.test(file.name) ? table : /\.toml$/i.test(file.name) ? layout : null;
  if (!to) return false;
  to.value = { name: file.name, text: await file.text() };
  return true;
}

export function ImportTable({ done }: { done: () => void }) {
  const refused = useSignal<Issue | null>(null);
  const job = jobs.value.filter((j) => j.kind === "import").at(-1);
  const under_way = job?.state === "waiting" || job?.state === "running";
  const taken = job?.state === "done" ? (job.result as Taken | null) : null;
  const trouble = refused.value ?? (job?.state === "failed" ? (job.error ?? { what: job.words }) : null);
  useEffect(() => {
    if (taken && !taken.dry_run) done();
  }, [job?.id, job?.state]);
  const send = (dry_run: boolean) =>
    ask<Job>("/register/import", { method: "POST", body: { csv: table.value?.text, layout: layout.value?.text, dry_run } })
      .then((begun) => {
        refused.value = null;
        // What was told of the last one makes room.
        jobs.value = jobs.value.filter((j) => j.kind !== "import");
        follow(begun);
      })
      .catch((error) => {
        if (error instanceof Trouble) refused.value = error.issue;
      });
  const pick = (accept: string, words: string, given: string | undefined) => (
    <label>
      <span>{words}{given ? `: ${given}` : ""}</span>
      <input type="file" accept={accept} onChange={(e) => { const file = e.currentTarget.files?.[0]; if (file) void takeTable(file); }} />
    </label>
  );
  return (
    <section class="part" aria-labelledby="import">
      <header><h2 id="import">Take in an old table</h2><span class="quiet">Drop a CSV and its layout anywhere, or choose them.</span></header>
      <div class="form">
        {pick(".csv", "Table", table.value?.name)}
        {pick(".toml", "Layout", layout.value?.name)}
        <button type="button" class="action" disabled={!table.value || !layout.value || under_way} onClick={() => void send(true)}>See what would be taken</button>
      </div>
      {trouble && <IssueLines issue={trouble} />}
      {taken && (
        <div role="status">
          <p>{taken.dry_run ? "Would take" : "Took"} {taken.added} entries from {taken.rows} rows{taken.unchanged > 0 ? `, ${taken.unchanged} known already` : ""}; {taken.refused.length} refused.</p>
          {taken.refused.length > 0 && (
            <table class="plain-table">
              <thead><tr><th scope="col">Line</th><th scope="col">Column</th><th scope="col">Found</th><th scope="col">Expected</th><th scope="col">What to do</th></tr></thead>
              <tbody>{taken.refused.map((r) => <tr><td>{r.line}</td><td>{r.column ?? ""}</td><td>{r.found}</td><td>{r.expected}</td><td>{r.do}</td></tr>)}</tbody>
            </table>
          )}
          {taken.dry_run && taken.added > 0 && table.value && layout.value && <p class="actions"><button type="button" class="action main" onClick={() => void send(false)}>Take them in</button></p>}
        </div>
      )}
    </section>
  );
}
