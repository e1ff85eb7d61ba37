// The view in three dimensions, opened from a row: its part loads only then; forms, map, cut, measure by keyboard; stress is solved when it is
// asked for, with progress and a way to stop it.

import assert from "node:assert/strict";
import type { Page } from "playwright-core";
import type { Planned } from "../src/api/types";
import { api, open, wait, wrong, type Desk } from "./desk";
import { sheetOf } from "./rooms";
import type { Test } from "./run";

/** The first row of a case, opened down to its forms. */
export async function forms(on: Desk, id: string, more: { width?: number; height?: number; dark?: boolean } = {}): Promise<Page> {
  const page = await open(on, `/#/sheet/${id}`, more);
  await page.waitForSelector(".six tbody tr", { timeout: 30_000 });
  await page.locator(".six tbody th button").first().click();
  await page.getByRole("button", { name: "See it in three dimensions" }).click();
  await page.waitForSelector(".space .canvas");
  await page.waitForFunction(() => document.querySelector(".space .small")?.textContent?.includes("triangles"), undefined, { timeout: 60_000 });
  return page;
}

/** Solves the stress of a case's first way in large cells, past the page. */
export async function solved(on: Desk, id: string): Promise<void> {
  const { report } = await api<Planned>(on, `/sheets/${id}/plan`);
  const job = await api<{ id: string }>(on, "/jobs", "POST", { kind: "stress", sheet: id, option: report?.options[0]?.id, cell: 1.2 });
  for (let i = 0; i < 240; i++) {
    const now = await api<{ state: string; error?: object }>(on, `/jobs/${job.id}`);
    if (now.state === "done") return;
    assert.ok(now.state === "running" || now.state === "waiting", JSON.stringify(now));
    await wait(500);
  }
  throw new Error("the stress was not solved in 120 s");
}

export const space: Test[] = [
  {
    name: "in three dimensions: a form with its map, legend and words; turned, cut and measured by keyboard",
    async run(on) {
      const id = await sheetOf(on, "premolar-too-close");
      const loaded: string[] = [];
      const page = await forms(on, id);
      page.on("request", (r) => loaded.push(r.url()));
      await page.getByRole("button", { name: /depth of the least preparation/ }).click();
      await page.waitForSelector(".legend .steps");
      assert.match(await page.locator(".legend").innerText(), /mm/);
      assert.match(await page.locator(".space p.small").innerText(), /× .* mm; \d+ triangles.* to .* mm/);
      const canvas = page.locator(".space .canvas");
      await canvas.focus();
      const picture = async () => (await canvas.screenshot()).toString("base64");
      const still = await picture();
      for (const key of ["ArrowLeft", "ArrowUp", "+"]) await page.keyboard.press(key);
      await page.waitForFunction(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(() => done(true)))));
      assert.notEqual(await picture(), still, "it is turned");
      const slider = page.locator(".space-tools input[type=range]");
      for (let i = 0; i < 5; i++) await page.keyboard.press("[");
      assert.equal(Number(await slider.inputValue()), 0.8);
      for (let i = 0; i < 5; i++) await page.keyboard.press("]");
      await page.keyboard.press("m");
      for (let i = 0; i < 3; i++) await page.keyboard.press("ArrowRight");
      await page.keyboard.press("m");
      const measured = page.getByText(/\d+\.\d\d mm between the two places/);
      await measured.waitFor();
      assert.ok(parseFloat(await measured.innerText()) > 0);
      await page.keyboard.press("Escape");
      await measured.waitFor({ state: "detached" });
      assert.deepEqual(wrong(page), []);
    },
  },
  {
    name: "in three dimensions: stress is begun and stopped; once solved it is shown, the plan's figure first",
    async run(on) {
      const id = await sheetOf(on, "premolar-too-close");
      const page = await forms(on, id);
      await page.getByRole("button", { name: "Compute stress" }).click();
      const stop = page.locator(".stress").getByRole("button", { name: "stop it" });
      await stop.waitFor({ timeout: 20_000 });
      await page.locator(".stress progress").waitFor();
      await stop.click();
      await page.getByRole("button", { name: "Compute stress" }).waitFor({ timeout: 60_000 });
      await solved(on, id);
      await page.reload();
      const shown = await forms(on, id);
      await shown.waitForFunction(() => /stress/.test(document.querySelector(".space [aria-pressed=true]")?.textContent ?? ""), undefined, { timeout: 20_000 });
      await shown.waitForFunction(() => /MPa/.test(document.querySelector(".legend")?.textContent ?? ""), undefined, { timeout: 30_000 });
      assert.match(await shown.locator(".space p.small").innerText(), /plan's figure/);
      assert.deepEqual(wrong(shown), []);
    },
  },
];
