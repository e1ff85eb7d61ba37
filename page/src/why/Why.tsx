// Every number can be asked why. The phrase itself is the button; the answer opens under it: what is computed, from what, with which
// sources. What the report holds is shown at once; equation and inputs come from the program when they are asked for.

import type { ComponentChildren } from "preact";
import { useSignal } from "@preact/signals";
import { useId } from "preact/hooks";
import { ask } from "../api/client";
import type { Answer, Source } from "../api/types";
import { report, sheet, tell } from "../state/desk";
import { label } from "../state/words";
import { interval, sentence } from "./numbers";

/** What the program says of one number. */
export interface Because {
  title?: string;
  equation?: string | null;
  symbols?: { symbol: string; words: string; value?: string | number | null; unit?: string | null; source?: string | null }[];
  inputs?: { field?: string; words: string; value: string | number | null; basis?: string | null; default?: boolean }[];
  steps?: { words: string; value: string | number }[];
  sources?: { id: string; citation: string; basis?: string; doi?: string | null }[];
}

interface AskProps {
  children: ComponentChildren;
  /** What opens. */
  answer: () => ComponentChildren;
  /** What stays between the phrase and its reasons, e.g. its picture. */
  between?: ComponentChildren;
  class?: string;
}

/** A phrase that opens its reasons in place. */
export function AskWhy({ children, answer, between, class: more = "" }: AskProps) {
  const open = useSignal(false);
  const id = useId();
  return (
    <>
      <button type="button" class={`ask ${more}`} aria-expanded={open.value} aria-controls={id} onClick={() => (open.value = !open.value)}>
        {children}
        <span class="sr"> - why?</span>
      </button>
      {between}
      {open.value && <div class="why" id={id}>{answer()}</div>}
    </>
  );
}

/** Why an option's answer to one of the six questions is what it is. */
export function BecauseOf({ option, answer }: { option: string; answer: Answer }) {
  const more = useSignal<Because | null>(null);
  const asked = useSignal(false);
  if (!asked.value && sheet.value) {
    asked.value = true;
    const query = new URLSearchParams({ option, question: answer.question });
    ask<Because>(`/sheets/${sheet.value.id}/why?${query}`).then((got) => (more.value = got)).catch((error) => { if (error?.status !== 404) tell(error); });
  }
  const because = more.value;
  return (
    <>
      {answer.value && <p>{sentence(answer.quantity)}: {interval(answer.value, answer.unit)}.</p>}
      {answer.reasons.length > 0 && <ul>{answer.reasons.map((r) => <li>{r}</li>)}</ul>}
      {because?.equation && <p class="equation">{because.equation}</p>}
      {because?.symbols && because.symbols.length > 0 && <Symbols of={because.symbols} />}
      {because?.inputs && because.inputs.length > 0 && <Inputs of={because.inputs} />}
      {answer.narrowed_by && answer.narrowed_by.length > 0 && <p>It would be narrowed most by knowing {answer.narrowed_by.map((n) => String((n as unknown as [string, number])[0])).join("; ")}.</p>}
      <Sources ids={answer.sources} basis={answer.basis} given={because?.sources} />
    </>
  );
}

function Symbols({ of }: { of: NonNullable<Because["symbols"]> }) {
  return (
    <ul class="plain">
      {of.map((s) => <li><i>{s.symbol}</i> {s.words}{s.value != null && <>: {s.value}{s.unit ? ` ${s.unit}` : ""}</>}{s.source && <span class="quiet"> ({s.source})</span>}</li>)}
    </ul>
  );
}

function Inputs({ of }: { of: NonNullable<Because["inputs"]> }) {
  return (
    <ul class="plain">
      {of.map((i) => <li>{i.words}: {i.value ?? "not given"}{i.default && <span class="quiet"> (default)</span>}</li>)}
    </ul>
  );
}

/** Sources of a number: how many and how weak the weakest, opened in place. */
export function Sources({ ids, basis, given }: { ids: readonly string[]; basis?: string | null; given?: Because["sources"] }) {
  const open = useSignal(false);
  const known: Map<string, Source> = new Map((report.value?.sources ?? []).map((s) => [s.id, s]));
  const list: { citation: string; doi?: string | null }[] = given && given.length > 0 ? given : ids.flatMap((id) => known.get(id) ?? []);
  if (list.length === 0 && !basis) return null;
  return (
    <div class="sources">
      <button type="button" class="press" aria-expanded={open.value} onClick={() => (open.value = !open.value)}>
        {list.length} {list.length === 1 ? "source" : "sources"}{basis ? `, the weakest ${label("bases", basis)}` : ""}
      </button>
      {open.value && <ul>{list.map((s) => <li>{s.citation}{s.doi ? `, doi ${s.doi}` : ""}</li>)}</ul>}
    </div>
  );
}
