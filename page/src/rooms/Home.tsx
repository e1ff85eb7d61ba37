// The sheets on disk; a new one; the invented practice to look at first.

import { useEffect } from "preact/hooks";
import { signal } from "@preact/signals";
import { ask } from "../api/client";
import type { Sheet, SheetInList } from "../api/types";
import { tell } from "../state/desk";
import { address, go } from "../state/route";
import { words } from "../state/words";

const sheets = signal<SheetInList[] | null>(null);

const load = () => ask<SheetInList[]>("/sheets").then((got) => (sheets.value = got)).catch(tell);

/** Begins a sheet: empty, or with one of the invented cases. */
export async function begin(from: string): Promise<void> {
  try {
    const made = await ask<Sheet>("/sheets", { method: "POST", body: { from } });
    go("sheet", made.id);
  } catch (error) {
    tell(error);
  }
}

/** Sheets taken off in this visit: they can be brought back. */
const gone = signal<SheetInList[]>([]);

async function remove(which: SheetInList): Promise<void> {
  try {
    await ask(`/sheets/${which.id}`, { method: "DELETE" });
    gone.value = [which, ...gone.value];
    await load();
  } catch (error) {
    tell(error);
  }
}

async function back(which: SheetInList): Promise<void> {
  try {
    await ask(`/sheets/${which.id}/restore`, { method: "POST" });
    gone.value = gone.value.filter((g) => g.id !== which.id);
    await load();
  } catch (error) {
    tell(error);
  }
}

export function Home() {
  useEffect(() => void load(), []);
  const list = sheets.value;
  const first = words.value?.examples[0];
  return (
    <main id="main" tabIndex={-1} class="room">
      <h1>{list && list.length > 0 ? "Sheets" : "No sheet yet"}</h1>
      <p class="lead quiet">One sheet a case. Begin an empty one, press the tooth, answer what is asked: three minutes. Or read an invented case first.</p>
      <div class="actions">
        <button type="button" class="action main" onClick={() => void begin("empty")}>New sheet</button>
        {list?.length === 0 && first && <button type="button" class="action" onClick={() => void begin(`example:${first.name}`)}>Read a worked example first</button>}
      </div>
      {gone.value.map((g) => <p role="status" key={g.id}>{g.name} was taken off the list. <button type="button" class="press" onClick={() => void back(g)}>Bring it back</button></p>)}
      {list && list.length > 0 && (
        <ul class="lines">
          {list.map((s) => (
            <li key={s.id}>
              <a href={address("sheet", s.id)}>{s.name}</a>
              {s.subject && <span class="quiet">{s.subject}{s.moment === "stump" ? ", at the stump" : ""}</span>}
              <button type="button" class="press" onClick={() => void remove(s)}>take off<span class="sr"> {s.name}</span></button>
              <span class="date">{s.changed.slice(0, 16).replace("T", " ")}</span>
            </li>
          ))}
        </ul>
      )}
      <Examples />
    </main>
  );
}

function Examples() {
  const all = words.value?.examples ?? [];
  if (all.length === 0) return null;
  return (
    <section class="part">
      <header><h2>The invented practice</h2><span class="quiet">Cases to look at and to play with; nobody's.</span></header>
      <ul class="lines">
        {all.map((e) => <li key={e.name}><button type="button" class="press" onClick={() => void begin(`example:${e.name}`)}>{e.title}</button></li>)}
      </ul>
    </section>
  );
}
