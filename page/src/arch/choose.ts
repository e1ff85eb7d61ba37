// What a press on a tooth does: a tooth is taken, then missing, then let go. A missing tooth takes its neighbours as abutments,
// since that is what a gap is read by.

import { order } from "./geometry";

export interface Chosen {
  teeth: number[];
  missing: number[];
}

/** Teeth in the order of the arch, each once. */
function sorted(codes: Iterable<number>): number[] {
  return [...new Set(codes)].sort((a, b) => order(a) - order(b));
}

/** The neighbours of a tooth in its jaw, nearest first on each side. */
function beside(code: number, jaw: readonly number[]): number[] {
  const row = sorted(jaw);
  const at = row.indexOf(code);
  return [row[at - 1], row[at + 1]].filter((t): t is number => t !== undefined);
}

export type State = "off" | "standing" | "missing";

export function state({ teeth, missing }: Chosen, code: number): State {
  return missing.includes(code) ? "missing" : teeth.includes(code) ? "standing" : "off";
}

/** The restoration with a tooth in another state. `jaw`: every tooth of its jaw. Teeth of the other jaw are let go. */
export function put(now: Chosen, code: number, to: State, jaw: readonly number[]): Chosen {
  const teeth = new Set(now.teeth.filter((t) => jaw.includes(t)));
  const missing = new Set(now.missing.filter((t) => jaw.includes(t)));
  const wasAlone = teeth.size <= 1;
  if (to === "off") {
    teeth.delete(code);
    missing.delete(code);
    // Neighbours of a gap that is no more do not stay behind on their own.
    if (missing.size === 0 && now.missing.includes(code)) teeth.clear();
  } else {
    // A first tooth is alone; another one is a new choice unless it joins the row.
    const joins = beside(code, jaw).some((t) => teeth.has(t)) || teeth.has(code);
    if (!joins && to === "standing" && wasAlone) teeth.clear();
    teeth.add(code);
    if (to === "missing") {
      missing.add(code);
      for (const t of beside(code, jaw)) teeth.add(t);
    } else missing.delete(code);
  }
  const all = sorted(teeth);
  return { teeth: filled(all, jaw), missing: sorted(missing) };
}

/** A restoration is one row: what lies between its ends belongs to it. */
function filled(teeth: number[], jaw: readonly number[]): number[] {
  const [first, last] = [teeth[0], teeth.at(-1)];
  if (first === undefined || last === undefined) return [];
  return sorted(jaw).filter((t) => order(t) >= order(first) && order(t) <= order(last));
}

/** The state after the present one. */
export function following(now: State): State {
  return now === "off" ? "standing" : now === "standing" ? "missing" : "off";
}
