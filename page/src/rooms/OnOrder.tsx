// What was ordered and is not in place yet: how each try-in went, and placing it on its day.

import { useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { ask, Trouble } from "../api/client";
import type { Issue } from "../api/types";
import { IssueLines } from "../parts/Trouble";
import { label } from "../state/words";
import { TryIn } from "./TryIn";

export interface Ordered {
  restoration: string;
  patient: string;
  teeth: string;
  construct: string;
  material: string;
  build: string;
  ordered?: string | null;
  laboratory?: string | null;
  try_ins: number;
}

export function OnOrder({ turn, done }: { turn: number; done: () => void }) {
  const list = useSignal<Ordered[] | null>(null);
  const open = useSignal<{ key: string; what: "tried" | "placed" } | null>(null);
  const said = useSignal("");
  useEffect(() => {
    ask<Ordered[]>("/register/ordered").then((got) => (list.value = got)).catch((error) => { if (!(error instanceof Trouble)) throw error; });
  }, [turn]);
  if (!list.value) return null;
  const toggle = (key: string, what: "tried" | "placed") => (open.value = open.value?.key === key && open.value.what === what ? null : { key, what });
  const entered = (words: string) => {
    [open.value, said.value] = [null, `Entered: ${words}.`];
    done();
  };
  return (
    <section class="part" aria-labelledby="ordered">
      <header><h2 id="ordered">{list.value.length === 0 ? "Nothing is on order" : `${list.value.length} on order`}</h2><span class="quiet">Enter each try-in, also the good ones: only then is a change seen.</span></header>
      {list.value.length === 0 && <p class="quiet">Enter an order below, from the sheet of its case; it stands here until it is placed.</p>}
      <p role="status">{said.value}</p>
      <ul class="lines">
        {list.value.map((o) => {
          const key = o.restoration;
          const on = open.value?.key === key ? open.value.what : null;
          return (
            <li key={key} data-restoration={key}>
              <span>{o.patient}</span>
              <span>{o.teeth}</span>
              <span class="quiet">{[label("constructs", o.construct), label("materials", o.material), label("builds", o.build), o.laboratory, o.ordered && `ordered ${o.ordered}`, o.try_ins > 0 && `tried in ${o.try_ins === 1 ? "once" : `${o.try_ins} times`}`].filter(Boolean).join(", ")}</span>
              <button type="button" class="press" aria-expanded={on === "tried"} onClick={() => toggle(key, "tried")}>tried in<span class="sr"> {key}</span></button>
              <button type="button" class="press" aria-expanded={on === "placed"} onClick={() => toggle(key, "placed")}>placed<span class="sr"> {key}</span></button>
              {on === "tried" && <TryIn of={key} done={entered} />}
              {on === "placed" && <Placing of={key} done={entered} />}
            </li>
          );
        })}
      </ul>
    </section>
  );
}

function Placing({ of, done }: { of: string; done: (words: string) => void }) {
  const trouble = useSignal<Issue | null>(null);
  const send = (event: SubmitEvent) => {
    event.preventDefault();
    const given = Object.fromEntries([...new FormData(event.currentTarget as HTMLFormElement)].filter(([, v]) => v !== ""));
    ask<{ done: string }>("/register/place", { method: "POST", body: { restoration: of, ...given } }).then((got) => done(got.done)).catch((error) => {
      if (error instanceof Trouble) trouble.value = error.issue;
    });
  };
  return (
    <form class="form" onSubmit={send} aria-label={`Placing ${of}`}>
      <label><span>Day (empty: today)</span><input type="date" name="day" /></label>
      <label><span>Who placed it, by a code</span><input type="text" name="operator" autocomplete="off" /></label>
      <button type="submit" class="action">Enter it as placed</button>
      {trouble.value && <IssueLines issue={trouble.value} />}
    </form>
  );
}
