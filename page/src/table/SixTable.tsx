// All ways, one row each, asked the same six questions: each cell a small picture with its interval on a scale that is the same down
// the column. Sorted by the reader; a row opens in place to reasons, pictures and sources. What ranks low is dimmed, never hidden.

import { useSignal } from "@preact/signals";
import type { Option } from "../api/types";
import { report } from "../state/desk";
import { words } from "../state/words";
import { sentence, share } from "../why/numbers";
import { answer } from "../sheet/pick";
import { Cell } from "./Cell";
import { OpenRow } from "./OpenRow";
import { scales } from "./scales";

const SHORT: Record<string, string> = { last: "lost by ten years", break: "broken by ten years", show: "dE00 to the wish", lose: "of the crown cut", hold: "come off by ten years", cost: "fee" };
const FEW = 8;

type Order = { column: string; down: boolean };

/** Value a column is sorted by; not known comes last. */
function key(option: Option, column: string): number {
  if (column === "first") return 0; // the plan's own order
  return answer(option, column)?.value?.median ?? Number.POSITIVE_INFINITY;
}

export function SixTable() {
  const order = useSignal<Order>({ column: "first", down: false });
  const opened = useSignal<string | null>(null);
  const all = useSignal(false);
  const plan = report.value;
  if (!plan) return null;
  const questions = words.value?.questions ?? [];
  const { column, down } = order.value;
  const sorted = plan.options
    .map((option, i) => ({ option, i, by: key(option, column) }))
    .sort((a, b) => (a.by === b.by ? (a.i - b.i) * (column === "first" && down ? -1 : 1) : (a.by - b.by) * (down ? -1 : 1)))
    .map(({ option }) => option);
  const rows = all.value ? sorted : sorted.slice(0, FEW);
  const scale = scales(plan.options);
  const sort = (to: string) => (order.value = { column: to, down: column === to ? !down : false });
  const head = (id: string, label: string, note?: string) => (
    <th scope="col" aria-sort={column === id ? (down ? "descending" : "ascending") : undefined}>
      <button type="button" onClick={() => sort(id)}>{label}</button>
      {note && <span class="note">{note}</span>}
    </th>
  );
  return (
    <section class="part" id="table" aria-labelledby="table-title">
      <header>
        <h2 id="table-title">All {plan.options.length} ways, six questions</h2>
        <span class="quiet">A line spans nine in ten of what is possible, the tick is the middle. Press a name to open it, a head to sort.</span>
      </header>
      <div class="scroll" tabIndex={0} role="region" aria-label="Table of all ways, to be scrolled sideways">
        <table class="six drawn">
          <thead>
            <tr>
              {head("first", "Way", "how often first")}
              {questions.map((q) => head(q.value, q.label, SHORT[q.value]))}
            </tr>
          </thead>
          <tbody>
            {rows.map((option) => {
              const open = opened.value === option.id;
              return [
                <tr class={`row ${option.stopped || option.dominated_by ? "dim" : ""}`} key={option.id}>
                  <th scope="row">
                    <button type="button" aria-expanded={open} onClick={() => (opened.value = open ? null : option.id)}>{sentence(option.title)}</button>
                    <span class="note">
                      {option.stopped ? "stopped" : `first in ${share(option.first_share ?? 0)} of 100`}
                      {option.dominated_by ? "; another is better in all" : ""}
                    </span>
                  </th>
                  {questions.map((q) => <td><Cell answer={answer(option, q.value)} scale={scale[q.value]} accent={option === plan.options[0]} /></td>)}
                </tr>,
                open && (
                  <tr class="opened" key={`${option.id} opened`}>
                    <td colSpan={questions.length + 1}><OpenRow option={option} /></td>
                  </tr>
                ),
              ];
            })}
          </tbody>
        </table>
      </div>
      <p>
        {sorted.length > FEW && <button type="button" class="press" onClick={() => (all.value = !all.value)}>{all.value ? `the first ${FEW} only` : `show the other ${sorted.length - FEW}`}</button>}
      </p>
      {plan.alternatives.length > 0 && (
        <>
          <h3>Named, not computed</h3>
          <ul class="plain">
            {plan.alternatives.map((a) => <li>{sentence(a.title)}. <span class="quiet">{[...a.known, ...a.against].map(sentence).join(". ")}</span></li>)}
          </ul>
        </>
      )}
    </section>
  );
}
