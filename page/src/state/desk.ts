// The sheet that lies on the desk: its case, what the plan says of it, the next question. Every change is shown at once, written
// to disk in order, and counted a revision; what could not be written is held here and tried again.

import { batch, computed, signal } from "@preact/signals";
import { ask, Trouble } from "../api/client";
import type { Case, Issue, Next, Planned, Setting, Sheet } from "../api/types";
import { write } from "./case";

export const sheet = signal<Sheet | null>(null);
/** The case as shown: what is on disk, with the changes that are on their way. */
export const shown = signal<Case>({});
export const planned = signal<Planned | null>(null);
export const next = signal<Next | null>(null);
/** Row the reader went back to; null follows the program's order. */
export const chosenRow = signal<string | null>(null);
export const trouble = signal<Issue | null>(null);
/** True while the shown plan is older than the shown case. */
export const behind = signal(false);
/** Changes not yet on disk. */
export const waiting = signal(0);

export const report = computed(() => planned.value?.report ?? null);
export const saved = computed(() => (waiting.value > 0 ? "saving" : sheet.value ? "saved" : ""));

/** What still has to be written: the newest whole case, since a PUT holds all of it. */
let unwritten: Case | null = null;
let writing = false;
let asked = 0;
const held = (id: string) => `bisque-held-${id}`;

/** Lays a sheet on the desk. */
export async function open(id: string): Promise<void> {
  unwritten = null;
  batch(() => {
    if (sheet.value?.id !== id) {
      sheet.value = null;
      planned.value = null;
      next.value = null;
    }
    chosenRow.value = null;
    trouble.value = null;
  });
  try {
    const got = await ask<Sheet>(`/sheets/${id}`);
    take(got);
    const kept = sessionStorage.getItem(held(id));
    if (kept) change(() => JSON.parse(kept) as Case);
    else void refresh();
  } catch (error) {
    tell(error);
  }
}

function take(got: Sheet): void {
  batch(() => {
    sheet.value = got;
    if (!unwritten) shown.value = got.case;
  });
}

/** Tells the reader of a failure; lets other errors through to the console's handler. */
export function tell(error: unknown): void {
  if (error instanceof Trouble) trouble.value = error.issue;
  else if (!(error instanceof DOMException && error.name === "AbortError")) throw error;
}

/** Answers fields of the sheet. */
export function set(settings: readonly Setting[]): void {
  change((now) => write(now, settings));
}

/** Changes the case: shown at once, then written. */
export function change(how: (now: Case) => Case): void {
  const on = sheet.value;
  if (!on) return;
  const changed = how(shown.value);
  batch(() => {
    shown.value = changed;
    behind.value = true;
    waiting.value = 1;
  });
  unwritten = changed;
  void writeOut(on.id);
}

async function writeOut(id: string): Promise<void> {
  if (writing) return;
  writing = true;
  try {
    while (unwritten && sheet.value?.id === id) {
      const now = unwritten;
      sessionStorage.setItem(held(id), JSON.stringify(now));
      try {
        const got = await ask<Sheet>(`/sheets/${id}`, { method: "PUT", body: now, headers: { "if-match": `"${sheet.value.revision}"` } });
        if (unwritten === now) unwritten = null;
        sessionStorage.removeItem(held(id));
        take(got);
        if (trouble.value) trouble.value = null;
        void refresh();
      } catch (error) {
        if (error instanceof Trouble && error.away) {
          trouble.value = error.issue;
          await new Promise((resolve) => setTimeout(resolve, 1500));
          continue;
        }
        unwritten = null;
        sessionStorage.removeItem(held(id));
        tell(error);
        if (error instanceof Trouble && error.status === 409) take(await ask<Sheet>(`/sheets/${id}`));
        else if (sheet.value) shown.value = sheet.value.case;
      }
    }
  } finally {
    writing = false;
    waiting.value = unwritten ? 1 : 0;
  }
}

/** Asks plan and next question anew; an older answer that comes late is not shown. */
export async function refresh(): Promise<void> {
  const on = sheet.value;
  if (!on) return;
  const turn = ++asked;
  behind.value = true;
  const mine = () => turn === asked && sheet.value?.id === on.id;
  const row = chosenRow.value;
  const question = ask<Next>(`/sheets/${on.id}/next${row ? `?row=${encodeURIComponent(row)}` : ""}`)
    .then((got) => mine() && (next.value = got))
    .catch((error) => mine() && tell(error));
  try {
    const got = await ask<Planned>(`/sheets/${on.id}/plan`);
    if (mine()) batch(() => {
      planned.value = got;
      behind.value = false;
    });
  } catch (error) {
    if (mine()) {
      behind.value = false;
      tell(error);
    }
  }
  await question;
}

/** Goes to a row of the sheet; null goes on with the program's order. */
export function goTo(row: string | null): void {
  chosenRow.value = row;
  void refresh();
}

async function step(which: "undo" | "redo"): Promise<void> {
  const on = sheet.value;
  if (!on || unwritten) return;
  try {
    take(await ask<Sheet>(`/sheets/${on.id}/${which}`, { method: "POST", body: {} }));
    await refresh();
  } catch (error) {
    tell(error);
  }
}

export const undo = () => step("undo");
export const redo = () => step("redo");
