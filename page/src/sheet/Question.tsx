// The one question worth asking next, always at the foot of the window. Number keys answer it; `e` opens its fields one by one, `g` goes on.

import { signal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import type { AnswerButton, FieldAsked, Row } from "../api/types";
import { arch, read } from "../state/case";
import { chosenRow, goTo, next, set, shown, stay } from "../state/desk";
import { share } from "../why/numbers";
import { readings, toReadings } from "./AtStump";
import { Field, Numeric, ordered } from "./Field";
import { remaining } from "./propose";

/** Each field alone: kept from question to question, as the reader likes it. */
const each = signal(false);

/** What the number keys press just now. */
let presses: (() => void)[] = [];
let onward: () => void = () => undefined;

/** Presses the nth answer, if there is one. */
export function answerByKey(nth: number): boolean {
  const press = presses[nth - 1];
  press?.();
  return press !== undefined;
}

/** Opens the fields of the question and goes to the first. */
export function openFields(): void {
  const box = document.querySelector<HTMLElement>(".question .inline input");
  if (box) {
    box.focus();
    return;
  }
  stay();
  each.value = true;
  requestAnimationFrame(() => document.querySelector<HTMLElement>(".question .fields input, .question .fields button[tabindex='0']")?.focus());
}

export const goOn = () => onward();

function give(answer: AnswerButton): void {
  chosenRow.value = null;
  set(answer.set);
}

export function Question() {
  const row = next.value?.row ?? null;
  useEffect(() => {
    // A field that is no longer there does not keep the keys.
    if (document.activeElement === document.body || !document.activeElement?.isConnected) (document.activeElement as HTMLElement | null)?.blur();
  }, [row?.id]);
  presses = [];
  onward = () => goTo(null);
  if (!next.value) return null;
  if (!row) return <Done />;
  if (arch(shown.value).teeth.length === 0) return <First />;
  const fields = row.fields ?? [];
  const wishes = fields.find((f) => f.kind === "order") ?? null;
  const alone = !wishes && (row.answers ?? []).length === 0;
  // A row of one field has its usual answers and its number beside them: nothing to open.
  const opened = !wishes && ((each.value && fields.length > 1) || alone);
  const open = opened ? remaining(row, shown.value) : [];
  onward = () => {
    // What is proposed at this moment: a field may have been given since this was drawn.
    const proposed = opened ? remaining(row, shown.value) : [];
    chosenRow.value = null;
    if (proposed.length > 0) set(proposed);
    else goTo(null);
  };
  return (
    <section class="question" aria-label="The next question" data-row={row.id}>
      <div class="line">
        <h2 aria-live="polite">{row.words}</h2>
        {row.why && <span class="reason">{row.why}{row.change ? `; could change the choice in ${share(row.change)} of 100` : ""}</span>}
        <div class="more">
          <span class="count">{next.value.answered} of {next.value.of} answered</span>
          {!alone && !wishes && fields.length > 1 && <button type="button" class="press each" aria-expanded={each.value} aria-keyshortcuts="e" onClick={() => { stay(); each.value = !each.value; }}>{each.value ? "usual answers only" : "each alone"}</button>}
          {opened || chosenRow.value ? <button type="button" class="press go-on" aria-keyshortcuts="g" onClick={() => onward()}>{open.length > 0 ? "take these" : "go on"}</button> : <Skip row={row} />}
        </div>
      </div>
      {wishes ? <Wishes asked={wishes} /> : !alone && <Answers row={row} inline={!opened && fields.length === 1 && fields[0]?.min != null ? fields[0] : null} />}
      {opened && <div class="fields">{fields.map((f) => <Field key={`${f.field}${f.tooth ?? ""}`} asked={f} proposed={open.find((s) => s.field === f.field && (s.tooth ?? null) === (f.tooth ?? null))?.value} />)}</div>}
    </section>
  );
}

/** Before any tooth is named there is only one thing to do. */
function First() {
  return (
    <section class="question" aria-label="The first question">
      <div class="line"><h2>Which tooth? Press it on the arch; press it again where it is missing.</h2></div>
    </section>
  );
}

/** Usual answers, the whole row at a press; beside them a number of one's own where the row is one number. */
function Answers({ row, inline }: { row: Row; inline: FieldAsked | null }) {
  const all = row.answers ?? [];
  presses = all.slice(0, 9).map((answer) => () => give(answer));
  const value = inline ? read(shown.value, inline.field, inline.tooth) : undefined;
  return (
    <div class="answers" role="group" aria-label={row.words}>
      {all.map((answer, i) => (
        <button type="button" aria-pressed={isGiven(answer)} onClick={() => give(answer)}>
          {i < 9 && <kbd aria-hidden="true">{i + 1}</kbd>}
          {answer.label}
          {answer.detail && <span class="quiet"> {answer.detail}</span>}
        </button>
      ))}
      {inline && (
        <span class="inline">
          <Numeric asked={inline} value={value} title={inline.words} give={(to) => give({ label: "", set: [{ field: inline.field, tooth: inline.tooth, value: to }] })} />
        </span>
      )}
    </div>
  );
}

/** What matters, pressed in its order. */
function Wishes({ asked }: { asked: FieldAsked }) {
  const choices = asked.choices ?? [];
  const given = read(shown.value, asked.field);
  const now = Array.isArray(given) ? given : [];
  const press = (value: unknown) => {
    const to = ordered(choices.map((c) => c.value), now, value);
    if (to.length < choices.length) stay();
    else chosenRow.value = null;
    set([{ field: asked.field, value: to.length > 0 ? to : null }]);
  };
  presses = choices.map((c) => () => press(c.value));
  return (
    <div class="answers" role="group" aria-label={`${asked.words} Press them in their order.`}>
      {choices.map((c, i) => {
        const place = now.indexOf(c.value);
        return (
          <button type="button" data-value={String(c.value)} aria-pressed={place >= 0} onClick={() => press(c.value)}>
            <kbd aria-hidden="true">{i + 1}</kbd>
            {c.label}{place >= 0 && <strong> {["first", "second", "third", "last"][place] ?? place + 1}</strong>}
          </button>
        );
      })}
    </div>
  );
}

function isGiven(answer: AnswerButton): boolean {
  const of = shown.value;
  return answer.set.length > 0 && answer.set.every((s) => JSON.stringify(read(of, s.field, s.tooth) ?? null) === JSON.stringify(s.value ?? null));
}

/** Later: the next of the rest. */
function Skip({ row }: { row: Row }) {
  const rest = (next.value?.rest ?? []).filter((r) => r.id !== row.id);
  const other = rest[0];
  return other ? <button type="button" class="press" onClick={() => goTo(other.id)}>later</button> : null;
}

/** The step leads to the first reading. */
function stepToStump(): void {
  set([{ field: "moment", value: "stump" }]);
  requestAnimationFrame(toReadings);
}

function Done() {
  const stump = read(shown.value, "moment") === "stump";
  const { all, open } = readings.value;
  const left = stump ? open.length : 0;
  const step: [string, () => void] | null = all.length === 0 ? null : !stump ? ["at the stump", stepToStump] : left > 0 ? ["to the next reading", toReadings] : null;
  onward = () => step?.[1]();
  const said = !stump
    ? "Everything is answered. Print what is needed; after preparation go on at the stump."
    : left > 0 ? `At the stump: ${left} of ${all.length} still to read.` : "Everything is answered and read. The order can be complete.";
  return (
    <section class="question done" aria-label="Everything is answered">
      <div class="line"><h2 aria-live="polite">{said}</h2></div>
      {step && <div class="answers"><button type="button" aria-keyshortcuts="g" onClick={step[1]}>{step[0]}</button></div>}
    </section>
  );
}
