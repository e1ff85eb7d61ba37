// Taking in an old table: first it is said what would be taken and what not, then it is taken.

import { signal, useSignal } from "@preact/signals";
import { ask, Trouble } from "../api/client";
import type { Issue } from "../api/types";
import { IssueLines } from "../parts/Trouble";

interface Taken {
  added: number;
  unchanged: number;
  rows: number;
  dry_run: boolean;
  refused: { line: number; column?: string | null; found: string; expected: string; do: string }[];
}

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
  const taken = useSignal<Taken | null>(null);
  const trouble = useSignal<Issue | null>(null);
  const send = (dry_run: boolean) =>
    ask<Taken>("/register/import", { method: "POST", body: { csv: table.value?.text, layout: layout.value?.text, dry_run } })
      .then((got) => {
        taken.value = got;
        trouble.value = null;
        if (!dry_run) done();
      })
      .catch((error) => {
        if (error instanceof Trouble) trouble.value = error.issue;
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
        <button type="button" class="action" disabled={!table.value || !layout.value} onClick={() => void send(true)}>See what would be taken</button>
      </div>
      {trouble.value && <IssueLines issue={trouble.value} />}
      {taken.value && (
        <div role="status">
          <p>{taken.value.dry_run ? "Would take" : "Took"} {taken.value.added} entries from {taken.value.rows} rows{taken.value.unchanged > 0 ? `, ${taken.value.unchanged} known already` : ""}; {taken.value.refused.length} refused.</p>
          {taken.value.refused.length > 0 && (
            <table class="plain-table">
              <thead><tr><th scope="col">Line</th><th scope="col">Column</th><th scope="col">Found</th><th scope="col">Expected</th><th scope="col">What to do</th></tr></thead>
              <tbody>{taken.value.refused.map((r) => <tr><td>{r.line}</td><td>{r.column ?? ""}</td><td>{r.found}</td><td>{r.expected}</td><td>{r.do}</td></tr>)}</tbody>
            </table>
          )}
          {taken.value.dry_run && taken.value.added > 0 && <p class="actions"><button type="button" class="action main" onClick={() => void send(false)}>Take them in</button></p>}
        </div>
      )}
    </section>
  );
}
