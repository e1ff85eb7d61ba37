// One sheet a case. The top answers before it shows; below, the arch and the table; beside, what matters.

import { computed } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { Arch } from "../arch/Arch";
import { Beside } from "../beside/Beside";
import { IssueLines } from "../parts/Trouble";
import { arch as archOf } from "../state/case";
import { open, planned, report, sheet, shown } from "../state/desk";
import { SixTable } from "../table/SixTable";
import { AtStump } from "./AtStump";
import { Mark } from "./Mark";
import { More } from "./More";
import { Named } from "./Named";
import { Question } from "./Question";
import { Stops } from "./Stops";
import { Ways } from "./Ways";

/** Which sheet lies on the desk; the room itself is drawn anew only when it is another one. */
const openId = computed(() => sheet.value?.id ?? null);

export function SheetRoom({ id }: { id: string }) {
  useEffect(() => {
    if (sheet.value?.id !== id) void open(id);
  }, [id]);
  if (openId.value !== id) return <main id="main" tabIndex={-1} class="room"><h1 class="quiet">Opening the sheet</h1></main>;
  return (
    <main id="main" tabIndex={-1} class="sheet">
      <div class="main">
        <Verdict />
        <Wrong />
        <Ways />
        <Stops />
        <Mark />
        <AtStump />
        <section class="part" id="arch" aria-labelledby="arch-title">
          <header><h2 id="arch-title">The arch</h2></header>
          <Arch />
        </section>
        <SixTable />
        <More />
        <Question />
      </div>
      <Beside />
    </main>
  );
}

/** What is wrong with the sheet, once something could be ranked. */
function Wrong() {
  const errors = report.value ? (sheet.value?.issues ?? []).filter((i) => i.severity === "error") : [];
  return <>{errors.map((issue) => <IssueLines issue={issue} />)}</>;
}

function Verdict() {
  const plan = report.value;
  if (plan) {
    return (
      <>
        <p class="subject">{plan.subject}{plan.moment === "stump" ? ", at the stump" : ", before preparation"} <Named /></p>
        <h1 class="verdict drawn" aria-live="polite">{plan.verdict}</h1>
      </>
    );
  }
  const needs = planned.value?.needs ?? [];
  return (
    <>
      <h1 class="verdict">{!planned.value ? "Reading the sheet" : archOf(shown.value).teeth.length === 0 ? "Which tooth, or which gap?" : "A little more, then it ranks"}</h1>
      {needs.length > 0 && archOf(shown.value).teeth.length > 0 && <ul class="empty">{needs.map((n) => <li>{n.words} <span class="quiet">({n.do})</span></li>)}</ul>}
      <p class="empty quiet">Press it on the arch below. The first ranking stands after the third answer and sharpens with each one after it.</p>
    </>
  );
}
