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
      <div class="scroll" tabIndex={0} role="region" aria-labelledby="studies">
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
  const retire = (event: Event) => {
    event.preventDefault();
    ask("/evidence/retire", { method: "POST", body: { id: arm.id, reason: reason.value } })
      .then(() => {
        asking.value = false;
        changed();
      })
      .catch((error) => {
        if (error instanceof Trouble) trouble.value = error.issue;
      });
  };
  return (
    <tr>
      <th scope="row">{arm.cohort.replaceAll("-", " ")}<br /><span class="quiet small">{arm.id}</span></th>
      <td>{arm.cell.labels.slice(0, 3).map((l) => l.replaceAll("_", " ")).join(", ")}</td>
      <td>{arm.n ?? ""}</td>
      <td>{arm.exposure ? Math.round(arm.exposure.years) : ""}</td>
      <td>{arm.losses ?? ""}{arm.counts.length > 0 && <span class="quiet small"><br />{arm.counts.map((c) => `${c.count} ${label("causes", c.cause)}`).join("; ")}</span>}</td>
      <td>{label("bases", arm.basis)}</td>
      <td>
        {why ? <span class="quiet">no: {why}</span> : asking.value ? (
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

/** One arm of one's own reading: as a row with the columns of the table of studies. */
function AddArm({ changed }: { changed: () => void }) {
  const open = useSignal(false);
  const text = useSignal("");
  const trouble = useSignal<Issue | null>(null);
  const add = (event: Event) => {
    event.preventDefault();
    ask("/evidence/add", { method: "POST", body: { csv: text.value } })
      .then(() => {
        text.value = "";
        open.value = false;
        changed();
      })
      .catch((error) => {
        if (error instanceof Trouble) trouble.value = error.issue;
      });
  };
  if (!open.value) return <p class="actions"><button type="button" class="action" onClick={() => (open.value = true)}>Add an arm</button></p>;
  return (
    <form onSubmit={add}>
      <label>
        <span class="quiet">Head and rows of a CSV with the columns of the table of studies; all or none is taken.</span>
        <textarea required rows={6} class="wide" value={text.value} onInput={(e) => (text.value = e.currentTarget.value)} />
      </label>
      {trouble.value && <IssueLines issue={trouble.value} />}
      <p class="actions"><button type="submit" class="action main">Check and add</button><button type="button" class="action" onClick={() => (open.value = false)}>Leave it</button></p>
    </form>
  );
}
