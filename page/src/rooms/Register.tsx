// The register room: who is due (one key each), what is on order and how its try-ins went, what was placed, what happened, what is
// changing, and taking in an old table.

import { useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { ask, Trouble } from "../api/client";
import type { Issue } from "../api/types";
import { IssueLines } from "../parts/Trouble";
import { Audit } from "./Audit";
import { Due, type Overdue } from "./Due";
import { ImportTable } from "./ImportTable";
import { OnOrder } from "./OnOrder";
import { Place } from "./Place";
import { Watch } from "./Watch";

export function Register() {
  const due = useSignal<Overdue[] | null>(null);
  const none = useSignal<Issue | null>(null);
  const turn = useSignal(0);
  useEffect(() => {
    ask<{ due: Overdue[]; all: number }>("/register/overdue")
      .then((got) => {
        due.value = got.due;
        none.value = null;
      })
      .catch((error) => {
        if (error instanceof Trouble) none.value = error.issue;
      });
  }, [turn.value]);
  const again = () => (turn.value += 1);
  const make = (more: object) => void ask("/register/init", { method: "POST", body: more }).then(again).catch((error) => {
    if (error instanceof Trouble) none.value = error.issue;
  });
  return (
    <main id="main" tabIndex={-1} class="room">
      <h1>Register</h1>
      <p class="lead quiet">What was placed, what became of it, and whether anything is changing. Patients stand here under codes; names never.</p>
      {none.value && (
        <>
          <IssueLines issue={none.value} />
          <p class="actions"><button type="button" class="action main" onClick={() => make({})}>Make a register</button> <button type="button" class="action" onClick={() => make({ invented: 400 })}>Make an invented one to look at</button></p>
        </>
      )}
      {due.value && (
        <>
          <Due list={due.value} done={again} />
          <OnOrder turn={turn.value} done={again} />
          <Place done={again} />
          <Audit turn={turn.value} />
          <Watch turn={turn.value} />
        </>
      )}
      <ImportTable done={again} />
    </main>
  );
}
