// The second, shorter pass: after preparation the sheet asks what only the stump can tell, says what that changed, and lets the order be
// complete. By mouse and again by keyboard only.

import assert from "node:assert/strict";
import type { Page } from "playwright-core";
import type { Next, Planned, Sheet } from "../src/api/types";
import { read } from "../src/state/case";
import { keyboard, mouse, type Hand } from "./answer";
import { api, open, wrong, type Desk } from "./desk";
import { sheetOf } from "./rooms";
import type { Test } from "./run";

/** What a dentist reads at the stump: shallow, and dark beneath. */
const READ: Record<string, number | [number, number, number]> = {
  occlusal_depth_mm: 1.1,
  facial_depth_mm: 1,
  margin_depth_mm: 0.7,
  convergence_degrees: 16,
  stump: [52, 6, 22],
};

interface Paper {
  name: string;
  missing?: string[];
}

/** An invented case as it was before preparation: without what only the stump could tell. */
export async function unprepared(on: Desk, name: string, teeth: number[]): Promise<string> {
  const id = await sheetOf(on, name);
  const { revision } = await api<Sheet>(on, `/sheets/${id}`);
  const readings = teeth.flatMap((tooth) => ["prepared", ...Object.keys(READ)].map((field) => ({ field: `abutment.${field}`, tooth, value: null })));
  await api(on, `/sheets/${id}`, "PATCH", { set: [{ field: "moment", value: "plan" }, ...readings] }, { "if-match": `"${revision}"` });
  return id;
}

async function secondPass(on: Desk, hand: (page: Page) => Hand, name: string, teeth: number[]): Promise<void> {
  const id = await unprepared(on, name, teeth);
  const first = await api<Next>(on, `/sheets/${id}/next?order=sheet`);
  const before = await api<Planned>(on, `/sheets/${id}/plan`);
  const page = await open(on, `/#/sheet/${id}`);
  await page.waitForSelector(".question.done", { timeout: 30_000 });
  await page.waitForSelector(".ways");
  const does = hand(page);
  if (hand === mouse) await does.press(".question .answers button");
  else {
    does.count.keys += 1;
    await page.keyboard.press("g");
  }
  await page.waitForFunction(() => document.activeElement?.closest("#stump"), undefined, { timeout: 10_000 });

  const asked = await page.locator("#stump [data-field]").evaluateAll((all) => all.map((e) => (e as HTMLElement).dataset["field"] ?? ""));
  const wanted = teeth.flatMap((tooth) => Object.keys(READ).map((name) => `abutment.${name}.${tooth}`));
  assert.deepEqual([...asked].sort(), [...wanted].sort(), "it asks what only a preparation can tell, of every tooth that stands");
  for (const at of asked) {
    const value = READ[at.split(".")[1] ?? ""];
    for (const [i, part] of Array.isArray(value) ? ["L", "a", "b"].entries() : [[0, ""] as const]) {
      const box = `#stump [data-field="${at}"] input${part ? `[name=${part}]` : ""}`;
      await does.type(box, String(Array.isArray(value) ? value[i] : value));
    }
    does.count.answers += 1;
  }
  await page.getByText("Everything is answered and read.").waitFor({ timeout: 20_000 });
  await page.waitForSelector(".since :is(li, p)", { timeout: 30_000 });

  const { case: given } = await api<Sheet>(on, `/sheets/${id}`);
  assert.equal(read(given, "moment"), "stump");
  for (const tooth of teeth) {
    for (const [field, value] of Object.entries(READ)) {
      const got = read(given, `abutment.${field}`, tooth);
      assert.deepEqual(Array.isArray(value) ? ["L", "a", "b"].map((n) => (got as Record<string, number>)[n]) : got, value, `${tooth} ${field}`);
    }
  }
  const { report } = await api<Planned>(on, `/sheets/${id}/plan`);
  assert.equal(report?.moment, "stump");
  const shares = (p: Planned) => (p.report?.options ?? []).map((o) => [o.id, o.first_share]);
  assert.notDeepEqual(shares({ report, took_ms: 0 }), shares(before), "the ranking follows the readings");
  assert.equal(await page.locator("h1.verdict").innerText(), report?.verdict, "and the page shows it");
  // What moved by one in a hundred is told, before and after.
  const was = new Map((before.report?.options ?? []).map((o) => [o.id, o.first_share ?? 0]));
  const moved = (report?.options ?? []).filter((o) => Math.abs((o.first_share ?? 0) - (was.get(o.id) ?? 0)) >= 0.01).length;
  const told = await page.locator(".since li").allInnerTexts();
  assert.ok(told.length >= Math.min(moved, 4), `${moved} moved: ${told.join("; ")}`);
  for (const line of told) assert.match(line, /first in .+ → .+ of 100/);
  const other = await open(on, `/#/sheet/${id}`);
  await other.waitForSelector(".since :is(li, p)", { timeout: 30_000 });
  assert.deepEqual(await other.locator(".since li").allInnerTexts(), told, "a window that never saw the plan before tells the same");
  await other.close();

  const order = (await api<Paper[]>(on, `/sheets/${id}/papers`)).find((p) => p.name === "order");
  assert.deepEqual((order?.missing ?? []).filter((m) => /stump|[Dd]epth|Colour under/.test(m)), [], "the order lacks no reading any more");
  const { answers, clicks, keys } = does.count;
  console.log(`counted | at the stump, ${name} | ${hand === mouse ? "mouse" : "keyboard"} | answers ${answers} (first pass ${first.of}) | clicks ${clicks} | keystrokes ${keys}`);
  assert.ok(answers < first.of, `${answers} answers, ${first.of} before preparation`);
  if (hand === mouse) assert.ok(clicks <= 30, `${clicks} clicks`);
  else assert.ok(keys <= 60, `${keys} keystrokes`);

  // One step back to before preparation, and there again.
  await page.locator("#stump header button").click();
  await page.waitForSelector("#stump", { state: "detached" });
  assert.deepEqual(wrong(page), []);
}

export const stump: Test[] = [
  { name: "at the stump, the second pass by mouse: one tooth", run: (on) => secondPass(on, mouse, "dark-incisor-cast-post", [11]) },
  { name: "at the stump, the second pass by keyboard only: two teeth of a bridge", run: (on) => secondPass(on, keyboard, "bridge-45-47", [45, 47]) },
];
