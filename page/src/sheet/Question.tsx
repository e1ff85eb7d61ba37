// The one question worth asking next, always at the foot of the window. Number keys answer it; the rest of its fields open in place.

import { batch, useSignal, useSignalEffect } from "@preact/signals";
import type { AnswerButton, Row } from "../api/types";
import { arch, read } from "../state/case";
import { chosenRow, goTo, next, set, shown, stay } from "../state/desk";
import { share } from "../why/numbers";
import { Field } from "./Field";

/** What the number keys answer just now. */
let answers: AnswerButton[] = [];
let give: (answer: AnswerButton) => void = () => undefined;

/** Answers with the nth button, if there is one. */
export function answerByKey(nth: number): boolean {
  const answer = answers[nth - 1];
  if (!answer) return false;
  give(answer);
  return true;
}

export function Question() {
  const each = useSignal(false);
  const row = next.value?.row ?? null;
  const id = row?.id ?? null;
  const last = useSignal<string | null>(null);
  useSignalEffect(() => {
    const now = next.value?.row?.id ?? null;
    if (now !== last.peek()) batch(() => { last.value = now; each.value = false; });
  });
  answers = row?.answers ?? [];
  give = (answer) => {
    chosenRow.value = null;
    set(answer.set);
  };
  if (!next.value) return null;
  if (!row) return <Done />;
  if (arch(shown.value).teeth.length === 0) return <First />;
  const fields = row.fields ?? [];
  const alone = (row.answers ?? []).length === 0;
  return (
    <section class="question" aria-label="The next question" data-row={id}>
      <div class="line">
        <h2 aria-live="polite">{row.words}</h2>
        {row.why && <span class="reason">{row.why}{row.change ? `; could change the choice in ${share(row.change)} of 100` : ""}</span>}
        <div class="more">
          <span class="count">{next.value.answered} of {next.value.of} answered</span>
          {!alone && fields.length > 0 && <button type="button" class="press each" aria-expanded={each.value} onClick={() => { stay(); each.value = !each.value; }}>{each.value ? "usual answers only" : "each alone"}</button>}
          {each.value || alone || chosenRow.value ? <button type="button" class="press go-on" onClick={() => goTo(null)}>go on</button> : <Skip row={row} />}
        </div>
      </div>
      {!alone && <Answers row={row} />}
      {(each.value || alone) && <div class="fields" tabIndex={-1}>{fields.map((f) => <Field key={`${f.field}${f.tooth ?? ""}`} asked={f} />)}</div>}
    </section>
  );
}

/** Before any tooth is named there is only one thing to do. */
function First() {
  answers = [];
  return (
    <section class="question" aria-label="The first question">
      <div class="line"><h2>Which tooth? Press it on the arch; press it again where it is missing.</h2></div>
    </section>
  );
}

function Answers({ row }: { row: Row }) {
  return (
    <div class="answers" role="group" aria-label={row.words}>
      {(row.answers ?? []).map((answer, i) => (
        <button type="button" aria-pressed={isGiven(answer)} onClick={() => give(answer)}>
          {i < 9 && <kbd aria-hidden="true">{i + 1}</kbd>}
          {answer.label}
          {answer.detail && <span class="quiet"> {answer.detail}</span>}
        </button>
      ))}
    </div>
  );
}

function isGiven(answer: AnswerButton): boolean {
  const of = shown.value;
  return answer.set.length > 0 && answer.set.every((s) => JSON.stringify(read(of, s.field, s.tooth)) === JSON.stringify(s.value));
}

/** Later: the next of the rest. */
function Skip({ row }: { row: Row }) {
  const rest = (next.value?.rest ?? []).filter((r) => r.id !== row.id);
  const other = rest[0];
  return other ? <button type="button" class="press" onClick={() => goTo(other.id)}>later</button> : null;
}

function Done() {
  const stump = read(shown.value, "moment") === "stump";
  return (
    <section class="question done" aria-label="Everything is answered">
      <div class="line">
        <h2>{stump ? "Everything is answered. The order can be written." : "Everything is answered. Print what is needed; after preparation go on at the stump."}</h2>
      </div>
      <div class="answers">
        {!stump && <button type="button" onClick={() => set([{ field: "moment", value: "stump" }])}>at the stump</button>}
      </div>
    </section>
  );
}
