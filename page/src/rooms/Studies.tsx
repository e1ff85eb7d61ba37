// Every study arm with what it counted and why it is pooled or not; one may be retired, or added, with a reason.

import { useSignal } from "@preact/signals";
import { ask, Trouble } from "../api/client";
import type { Issue } from "../api/types";
import { IssueLines } from "../parts/Trouble";
import { label } from "../state/words";

export interface Arm {
  id: string;
  cohort: string;
  year: number;
  cell: { labels: string[] };
  n: number | null;
  exposure?: { years: number; computed?: boolean } | null;
  losses: number | null;
  counts: { cause: string; count: number; fate: string }[];
  basis: string;
  /** Added by this practice. */
  own?: boolean;
  /** Why this practice took it out of the pool. */
  retired?: string | null;
  pooled: { Ok?: null; Err?: unknown } | string | null;
}

const MANY = 25;

/** Why it is not pooled, or nothing. */
function outside(arm: Arm): string | null {
  const p = arm.pooled;
  if (p && typeof p === "object" && "Err" in p && p.Err !== undefined) return typeof p.Err === "string" ? p.Err : JSON.stringify(p.Err);
  return typeof p === "string" && p !== "pooled" ? p : null;
}

export function Studies({ arms, all, changed }: { arms: Arm[]; all: Arm[]; changed: () => void }) {
  const every = useSignal(false);
  const long = useSignal(false);
  const list = every.value ? all : arms;
  const shown = long.value ? list : list.slice(0, MANY);
  return (
    <section class="part" aria-labelledby="studies">
      <header>
        <h2 id="studies">{list.length} study arms</h2>
        {arms.length !== all.length && <button type="button" class="press" onClick={() => (every.value = !every.value)}>{every.value ? "of this place only" : `all ${all.length}`}</button>}
      </header>
      <div class="scroll" tabIndex={0} role="region" aria-label="Table of study arms, to be scrolled sideways">
        <table class="plain-table">
          <thead><tr><th scope="col">Study</th><th scope="col">What</th><th scope="col">Number</th><th scope="col">Years observed</th><th scope="col">Lost</th><th scope="col">Basis</th><th scope="col">In the pool</th></tr></thead>
          <tbody>{shown.map((arm) => <ArmRow arm={arm} changed={changed} key={arm.id} />)}</tbody>
        </table>
      </div>
      {list.length > shown.length && <button type="button" class="press" onClick={() => (long.value = true)}>show the other {list.length - shown.length}</button>}
      <AddArm changed={changed} />
    </section>
  );
}

function ArmRow({ arm, changed }: { arm: Arm; changed: () => void }) {
  const asking = useSignal(false);
  const reason = useSignal("");
  const trouble = useSignal<Issue | null>(null);
  const why = outside(arm);
  const told = (error: unknown) => {
    if (error instanceof Trouble) trouble.value = error.issue;
  };
  const restore = () => void ask("/evidence/restore", { method: "POST", body: { id: arm.id } }).then(changed).catch(told);
  const retire = (event: Event) => {
    event.preventDefault();
    ask("/evidence/retire", { method: "POST", body: { id: arm.id, reason: reason.value } })
      .then(() => {
        asking.value = false;
        changed();
      })
      .catch(told);
  };
  return (
    <tr>
      <th scope="row">{arm.cohort.replaceAll("-", " ")}<br /><span class="quiet small">{arm.id}{arm.own ? ", own" : ""}</span></th>
      <td>{[...new Set(arm.cell.labels)].slice(0, 4).map((l) => l.replaceAll("_", " ")).join(", ")}</td>
      <td>{arm.n ?? ""}</td>
      <td>{arm.exposure ? Math.round(arm.exposure.years) : ""}</td>
      <td>{arm.losses ?? ""}{arm.counts.length > 0 && <span class="quiet small"><br />{arm.counts.map((c) => `${c.count} ${label("causes", c.cause)}`).join("; ")}</span>}</td>
      <td>{label("bases", arm.basis)}</td>
      <td>
        {why ? <><span class="quiet">no: {why}</span>{arm.retired != null && <> <button type="button" class="press" onClick={restore}>bring it back<span class="sr"> {arm.id}</span></button></>}</> : asking.value ? (
          <form onSubmit={retire}>
            <label><span class="quiet small">Why does it leave the pool?</span><br /><input type="text" required minLength={3} value={reason.value} onInput={(e) => (reason.value = e.currentTarget.value)} /></label>
            <button type="submit" class="press">retire</button>
          </form>
        ) : <>yes <button type="button" class="press" onClick={() => (asking.value = true)}>retire<span class="sr"> {arm.id}</span></button></>}
        {trouble.value && <IssueLines issue={trouble.value} />}
      </td>
    </tr>
  );
}

/** One arm of one's own reading, a line a column of the table of studies; first checked, then taken. */
function AddArm({ changed }: { changed: () => void }) {
  const open = useSignal(false);
  const said = useSignal<string | null>(null);
  const trouble = useSignal<Issue | null>(null);
  const columns = useSignal<string[]>([]);
  const begin = () => {
    open.value = true;
    ask<Record<string, unknown>[]>("/evidence/arms").then(([row]) => (columns.value = Object.keys(row ?? {}).filter((c) => c !== "own"))).catch(() => undefined);
  };
  const send = (event: SubmitEvent) => {
    event.preventDefault();
    const form = new FormData(event.currentTarget as HTMLFormElement);
    const dry_run = (event.submitter as HTMLButtonElement | null)?.value === "check";
    const lines = String(form.get("fields")).split("\n").map((l) => l.trim()).filter(Boolean);
    const fields = Object.fromEntries(lines.map((l) => [l.slice(0, Math.max(0, l.indexOf("="))).trim(), l.slice(l.indexOf("=") + 1).trim()]));
    ask<{ words: string }>("/evidence/add", { method: "POST", body: { fields, citation: form.get("citation") || null, dry_run } })
      .then((got) => {
        [said.value, trouble.value] = [got.words, null];
        if (!dry_run) changed();
      })
      .catch((error) => {
        if (error instanceof Trouble) [said.value, trouble.value] = [null, error.issue];
      });
  };
  if (!open.value) return <p class="actions"><button type="button" class="action" onClick={begin}>Add an arm</button></p>;
  return (
    <form onSubmit={send} aria-label="Add an arm">
      <label>
        <span class="quiet">One line a column, as <code>id=OWN1</code>. A cohort <code>own.LABORATORY.NAME</code> marks results of your own.</span>
        <textarea name="fields" required rows={7} class="wide" />
      </label>
      {columns.value.length > 0 && <details><summary class="press">columns there are</summary><p class="small quiet">{columns.value.join(", ")}</p></details>}
      <p><label><span class="quiet">Author, year, journal, DOI </span><input type="text" name="citation" /></label></p>
      {trouble.value && <IssueLines issue={trouble.value} />}
      <p role="status" class="said">{said.value}</p>
      <p class="actions">
        <button type="submit" value="check" class="action">Check it only</button>
        <button type="submit" value="add" class="action main">Add it</button>
        <button type="button" class="action" onClick={() => (open.value = false)}>Leave it</button>
      </p>
    </form>
  );
}
