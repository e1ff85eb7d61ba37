// Everything else that can be said of a case: what only sharpens the answer, and what the papers need. Closed until it is wanted; by the
// sections of the case file.

import { useSignal } from "@preact/signals";
import type { Words } from "../api/types";
import { arch, read } from "../state/case";
import { shown } from "../state/desk";
import { number, words } from "../state/words";
import { Field } from "./Field";

type Worded = Words["fields"][number];

/** Kinds that stand in the place where they belong, not in a list of fields. */
const ELSEWHERE = new Set(["teeth", "tooth", "section"]);
/** Sections that are lists of their own or are filled where they arise. */
const LISTS = /^(laboratory\.makes|laboratory\.tab|laboratory_reply|override|chosen|abutment\.)/;

function optional(fields: readonly Worded[]): Map<string, Worded[]> {
  const by = new Map<string, Worded[]>();
  for (const field of fields) {
    if (field.row || field.stump || field.need === true || ELSEWHERE.has(field.kind)) continue;
    const section = field.section ?? "";
    if (section === "" || LISTS.test(section) || /^(wish\.(weights|trades)|restoration\.scans)/.test(field.field)) continue;
    by.set(section, [...(by.get(section) ?? []), field]);
  }
  return by;
}

export function More() {
  const open = useSignal<string | null>(null);
  const sections = optional(words.value?.fields ?? []);
  const { teeth, missing } = arch(shown.value);
  const standing = teeth.filter((t) => !missing.includes(t));
  if (teeth.length === 0 || sections.size === 0) return null;
  const said = (field: Worded) => (field.section === "abutment" ? standing.some((t) => read(shown.value, field.field, t) !== undefined) : read(shown.value, field.field) !== undefined);
  return (
    <section class="part no-print" id="more" aria-labelledby="more-title">
      <header><h2 id="more-title">More that can be said</h2><span class="quiet">None of it must be; it narrows an answer or completes a paper.</span></header>
      <ul class="plain more-list">
        {[...sections].map(([section, fields]) => {
          const on = open.value === section;
          const given = fields.filter(said).length;
          return (
            <li key={section}>
              <button type="button" class="press" aria-expanded={on} onClick={() => (open.value = on ? null : section)}>{section.replaceAll("_", " ")}</button>{" "}
              <span class="quiet small">{given > 0 ? `${given} of ` : ""}{fields.length}</span>
              {on && (section === "abutment"
                ? standing.map((tooth) => <div class="at-stump" role="group" aria-label={number(tooth)} key={tooth}>{fields.map((f) => <Field key={f.field} asked={{ ...f, tooth }} alone />)}</div>)
                : <div class="at-stump">{fields.map((f) => <Field key={f.field} asked={f} alone />)}</div>)}
            </li>
          );
        })}
      </ul>
    </section>
  );
}
