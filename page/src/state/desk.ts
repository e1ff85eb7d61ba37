// The sheet that lies on the desk: its case, what the plan says of it, the next question. Every change is shown at once, written
// to disk in order, and counted a revision; what could not be written is held here and tried again.

import { batch, computed, signal } from "@preact/signals";
import { ask, Trouble } from "../api/client";
import type { Case, Issue, Next, Planned, Setting, Sheet } from "../api/types";
import { arch, read, withArch, write } from "./case";
import { merge, same } from "./merge";
import { prepared } from "./stump";
import { wholeOf } from "./whole";
import { drawing } from "./words";

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

/** A case not on disk yet, and the case on disk that it was changed from. */
interface Held {
  base: Case;
  ours: Case;
}

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
  worth = [];
  try {
    const got = await ask<Sheet>(`/sheets/${id}`);
    take(got);
    const kept = sessionStorage.getItem(held(id));
    if (kept) over(got, JSON.parse(kept) as Held);
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
  const stump = settings.some((s) => s.field === "moment" && s.value === "stump") && read(shown.value, "moment") !== "stump";
  change((now) => alone(write(now, stump ? [...settings, ...prepared(now)] : settings), settings));
}

/** What stands on an implant has no abutment teeth: the neighbours that came along with the gap are let go. */
function alone(of: Case, settings: readonly Setting[]): Case {
  const { missing } = arch(of);
  const implant = settings.some((s) => s.field === "restoration.kind" && drawing(s.value)?.drawn_gap === "implant");
  return implant && missing.length > 0 ? withArch(of, missing, missing) : of;
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
  // At once, not when its turn to be written comes: the window may be left before.
  sessionStorage.setItem(held(on.id), JSON.stringify({ base: on.case, ours: changed } satisfies Held));
  void writeOut(on.id);
}

/** Lays what was held here over a sheet that may have been changed elsewhere meanwhile. */
function over(disk: Sheet, { base, ours }: Held): void {
  const { merged, lost } = merge(base, ours, disk.case);
  clash.value = lost;
  if (!same(merged, disk.case)) return change(() => merged as Case);
  sessionStorage.removeItem(held(disk.id));
  tellClash();
  void refresh();
}

/** Fields that were changed elsewhere as well, and stand as they do there. */
const clash = signal<string[]>([]);

/** Told once what could be written is. */
function tellClash(): void {
  if (clash.value.length === 0) return;
  trouble.value = {
    what: `Changed elsewhere meanwhile, and left as it is there: ${clash.value.map((field) => field.replaceAll("_", " ")).join(", ")}.`,
    expected: "Everything else that was changed here is written.",
    do: "Look at it and change it again if yours is right.",
  };
  clash.value = [];
}

async function writeOut(id: string): Promise<void> {
  if (writing) return;
  writing = true;
  let sent: Case | null = null;
  try {
    while (unwritten && sheet.value?.id === id) {
      const now = unwritten;
      try {
        const got = await ask<Sheet>(`/sheets/${id}`, { method: "PUT", body: now, headers: { "if-match": `"${sheet.value.revision}"` } });
        if (unwritten === now) {
          unwritten = null;
          sessionStorage.removeItem(held(id));
        }
        take(got);
        trouble.value = null;
        if (!unwritten) tellClash();
        void refresh();
      } catch (error) {
        const disk = error instanceof Trouble && error.status === 409 ? await ask<Sheet>(`/sheets/${id}`).catch(() => null) : null;
        if (error instanceof Trouble && (error.away || (error.status === 409 && !disk))) {
          trouble.value = error.issue;
          if (error.away) sent = now;
          await rest(1500);
          continue;
        }
        if (!unwritten || sheet.value?.id !== id) continue;
        const ours: Held = { base: sheet.value.case, ours: unwritten };
        unwritten = null;
        if (disk) {
          take(disk);
          // What nobody answered for may have been written all the same: then it is ours that stands there.
          over(disk, sent && same(sent, disk.case) ? { ...ours, base: disk.case } : ours);
        } else {
          sessionStorage.removeItem(held(id));
          tell(error);
          shown.value = sheet.value.case;
        }
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
  const mine = () => turn === asked && sheet.value?.id === on.id;
  behind.value = true;
  try {
    await askRow(on.id, mine);
    // Answers often come in a row: what is computed waits for a short rest.
    await rest(planned.value?.report ? REST : 0);
    if (!mine()) return;
    stale.abort();
    stale = new AbortController();
    const got = await ask<Planned>(`/sheets/${on.id}/plan`, { signal: stale.signal });
    const whole = wholeOf(on.id, on.revision);
    if (mine()) batch(() => {
      planned.value = whole ? { ...got, report: whole } : got;
      behind.value = false;
    });
    if (!got.report) return;
    await rest(3 * REST);
    if (mine()) await askWorth(on.id, mine);
  } catch (error) {
    if (!mine()) return;
    behind.value = false;
    tell(error);
  }
}

/** A pause between answers after which the reader is taken to look up, ms. */
const REST = 200;
/** What is asked for an older sheet is no longer waited for. */
let stale = new AbortController();
const rest = (ms: number) => new Promise((resolve) => setTimeout(resolve, ms));

/** Open rows in the order worth asking, as last computed. */
let worth: string[] = [];

/** The row to show, at once: the one the reader chose, else the first open one of the last known order. */
async function askRow(id: string, mine: () => boolean): Promise<void> {
  const path = (row: string | null) => `/sheets/${id}/next?order=sheet${row ? `&row=${encodeURIComponent(row)}` : ""}`;
  let got = await ask<Next>(path(chosenRow.value));
  if (!chosenRow.value && got.row) {
    const open = new Set([got.row.id, ...got.rest.map((r) => r.id)]);
    const first = worth.find((row) => open.has(row));
    if (first && first !== got.row.id && got.answered >= FIRST_RANKING) got = await ask<Next>(path(first));
  }
  if (mine()) next.value = withWorth(got, next.value);
}

/** Answers after which the first ranking stands; until then the order of the sheet is kept. */
const FIRST_RANKING = 3;

/** How much each open row could change the choice; the row that is shown stays where it is, under the reader's finger. */
async function askWorth(id: string, mine: () => boolean): Promise<void> {
  const full = await ask<Next>(`/sheets/${id}/next`, { signal: stale.signal });
  if (!mine() || !next.value) return;
  worth = [...(full.row ? [full.row.id] : []), ...full.rest.map((r) => r.id)];
  next.value = withWorth(next.value, full);
}

/** Rows of one answer, in the order and with the weights of another. */
function withWorth(rows: Next, from: Next | null): Next {
  if (!from) return rows;
  const known = new Map([...(from.row ? [from.row] : []), ...from.rest].map((r) => [r.id, r]));
  const place = (id: string) => { const at = worth.indexOf(id); return at < 0 ? worth.length : at; };
  const weighed = <R extends { id: string; change?: number | null }>(r: R): R => ({ ...r, change: known.get(r.id)?.change ?? r.change });
  return { ...rows, row: rows.row && weighed(rows.row), rest: rows.rest.map(weighed).sort((a, b) => place(a.id) - place(b.id)) };
}

/** Goes to a row of the sheet; null goes on with the program's order. */
export function goTo(row: string | null): void {
  chosenRow.value = row;
  void refresh();
}

/** Keeps the row that is shown until the reader goes on: its fields are being answered one by one. */
export function stay(): void {
  chosenRow.value ??= next.value?.row?.id ?? null;
}

async function step(which: "undo" | "redo"): Promise<void> {
  const on = sheet.value;
  if (!on || unwritten) return;
  try {
    take(await ask<Sheet>(`/sheets/${on.id}/${which}`, { method: "POST", headers: { "if-match": `"${on.revision}"` } }));
    chosenRow.value = null;
    await refresh();
  } catch (error) {
    tell(error);
  }
}

export const undo = () => step("undo");
export const redo = () => step("redo");
