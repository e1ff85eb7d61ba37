// Long work: asked for, followed by its events, cancelled, and found again after a reload.

import { signal } from "@preact/signals";
import { ask, Trouble } from "../api/client";
import { planned, refresh, sheet, shown, tell, trouble } from "./desk";
import type { Issue, Report, Sheet } from "../api/types";
import { keepWhole } from "./whole";

/** What taking a table in did, or would do. */
export interface Taken {
  added: number;
  unchanged: number;
  rows: number;
  dry_run: boolean;
  refused: { line: number; column?: string | null; found: string; expected: string; do: string }[];
}

export interface Job {
  id: string;
  kind: string;
  state: "waiting" | "running" | "done" | "failed" | "cancelled";
  progress: number;
  words: string;
  sheet?: string | null;
  option?: string | null;
  result?: ({ revision?: number; report?: Report; caution?: string } & Partial<Taken>) | null;
  error?: Issue | null;
}

export const jobs = signal<Job[]>([]);

/** Names that dropped files came with, by the job that reads them. */
const dropped = new Map<string, string>();

/** A file that could not be read: by the name it came with, and what is safe. */
function notTaken(job: Job, error: Issue): Issue {
  const name = dropped.get(job.id);
  return { ...error, what: name ? `${name} was not taken: ${error.what}.` : error.what, where: null, expected: `Expected: ${error.expected ?? "another file"}. The sheet was not changed.`, do: error.do ? `${error.do.charAt(0).toUpperCase()}${error.do.slice(1)}.` : null };
}

export const ended = (job: Job) => job.state === "done" || job.state === "failed" || job.state === "cancelled";

function put(job: Job): void {
  const others = jobs.value.filter((j) => j.id !== job.id);
  jobs.value = [...others, job];
  if (!ended(job)) return;
  // Why a table was not taken is told beside it.
  if (job.state === "failed" && job.error && job.kind !== "import") trouble.value = job.kind === "file" ? notTaken(job, job.error) : job.error;
  if (job.state === "done") void (job.kind === "plan" ? full(job) : again());
  if (job.state === "cancelled") jobs.value = others;
}

/** A whole plan takes the place of the quick one, if the sheet is still the one it was made of. */
function full(job: Job): void {
  const { report, revision } = job.result ?? {};
  if (!report || !job.sheet || revision === undefined) return;
  keepWhole(job.sheet, revision, report);
  if (job.sheet === sheet.value?.id && revision === sheet.value?.revision) planned.value = { report, took_ms: 0 };
}

/** What a finished job left in the case is shown. */
async function again(): Promise<void> {
  const on = sheet.value;
  if (!on) return;
  const got = await ask<Sheet>(`/sheets/${on.id}`).catch(() => null);
  if (got && got.revision !== on.revision) {
    sheet.value = got;
    shown.value = got.case;
  }
  await refresh();
}

/** Follows a job to its end; of a file with the name it was dropped under. */
export function follow(job: Job, name?: string): void {
  if (name) dropped.set(job.id, name);
  put(job);
  if (ended(job)) return;
  const events = new EventSource(`/api/jobs/${job.id}/events`);
  for (const kind of ["progress", "done", "failed", "cancelled"]) {
    events.addEventListener(kind, (event) => {
      const now = JSON.parse((event as MessageEvent<string>).data) as Job;
      put(now);
      if (ended(now)) events.close();
    });
  }
}

/** Finds work again that was under way before the page was loaded, and plans that were finished meanwhile. */
export async function resume(): Promise<void> {
  try {
    const list = await ask<Job[]>("/jobs");
    for (const job of list) {
      if (!ended(job)) follow(job);
      else if (job.kind === "plan" && job.state === "done") full(job);
    }
  } catch (error) {
    if (!(error instanceof Trouble)) throw error;
  }
}

export async function begin(kind: string, more: Record<string, unknown> = {}): Promise<void> {
  try {
    follow(await ask<Job>("/jobs", { method: "POST", body: { kind, sheet: sheet.value?.id, ...more } }));
  } catch (error) {
    tell(error);
  }
}

export function cancel(id: string): void {
  ask<Job>(`/jobs/${id}`, { method: "DELETE" }).then((job) => job && put(job)).catch(tell);
}

/** Takes a finished job off the list. */
export function clear(id: string): void {
  jobs.value = jobs.value.filter((j) => j.id !== id);
}
