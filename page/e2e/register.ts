// The register room as a user: recalls with one key, what happened, placing from a sheet, looking back by every grouping, looking out.

import assert from "node:assert/strict";
import type { Page } from "playwright-core";
import { api, open, wrong, type Desk } from "./desk";
import { sheetOf } from "./rooms";
import type { Test } from "./run";

interface Standing {
  restoration: string;
  patient: string;
  teeth: string;
  last_seen: string;
}

const overdue = (on: Desk) => api<{ all: number; due: Standing[] }>(on, "/register/overdue");

/** The register room over an invented register; perhaps with a sheet on the desk. */
async function room(on: Desk, sheet?: string): Promise<Page> {
  await api(on, "/register/init", "POST", { invented: 300 });
  const page = await open(on, sheet ? `/#/sheet/${sheet}` : "/#/register");
  if (sheet) {
    await page.waitForSelector(".ways", { timeout: 30_000 });
    await page.click(".head nav a:text-is('Register')");
  }
  await page.waitForSelector("#due", { timeout: 20_000 });
  return page;
}

export const register: Test[] = [
  {
    name: "recalls: one key each, seen and well; another for what happened",
    async run(on) {
      const page = await room(on);
      const before = await overdue(on);
      assert.ok(before.all > 3, `${before.all} due`);
      const [one, two, three] = before.due;
      await page.locator("section[aria-labelledby=due] li button").first().focus();
      await page.keyboard.press("w");
      await page.waitForFunction((key) => !document.querySelector("section[aria-labelledby=due]")?.textContent?.includes(key), one?.restoration ?? "");
      await page.waitForFunction(() => document.activeElement?.matches("section[aria-labelledby=due] li:first-child button"));
      await page.keyboard.press("w");
      await page.waitForFunction((n) => document.querySelector("#due")?.textContent?.startsWith(String(n)), before.all - 2);
      await page.waitForFunction(() => document.activeElement?.matches("section[aria-labelledby=due] li:first-child button"));
      // What happened to the third, from the keyboard.
      await page.keyboard.press("e");
      const form = page.getByRole("form", { name: /^What happened/ });
      await form.waitFor();
      await form.getByLabel("What happened").selectOption({ index: 1 });
      await form.getByLabel("What was done").selectOption("repaired");
      await form.getByRole("button", { name: "Enter it" }).click();
      await form.waitFor({ state: "detached", timeout: 20_000 });
      const now = await overdue(on);
      assert.deepEqual(now.due.filter((d) => [one, two, three].some((o) => o?.restoration === d.restoration)), [], "what was seen is due no longer");
      assert.equal(now.all, before.all - 3);
      assert.deepEqual(wrong(page), []);
    },
  },
  {
    name: "placed: entered from the sheet on the desk under a code; a name is refused with what to do",
    async run(on) {
      const id = await sheetOf(on, "molar-crown-ordered");
      const page = await room(on, id);
      const form = page.getByRole("form", { name: "Ordered or placed" });
      await form.getByLabel(/^Patient/).fill("Miller");
      await form.getByRole("button", { name: "Enter it as placed" }).click();
      const told = page.locator("section[aria-labelledby=place] .trouble");
      await told.waitFor({ timeout: 20_000 });
      assert.match(await told.innerText(), /code|pseudonym|digit/);
      await form.getByLabel(/^Patient/).fill("P9001");
      await form.getByLabel("Laboratory").fill("North");
      await form.getByRole("button", { name: "Enter it as placed" }).click();
      await page.getByText(/^Entered: \S+ placed on/).waitFor({ timeout: 20_000 });
      const key = /Entered: (\S+)/.exec(await page.locator("section[aria-labelledby=place] [role=status]").innerText())?.[1];
      const placed = (await api<Standing[]>(on, "/register/list")).find((r) => r.restoration === key);
      assert.equal(placed?.patient, "P9001");
      assert.deepEqual(wrong(page), []);
    },
  },
  {
    name: "try-in: ordered from the sheet, sent back with its causes, then fitted, then placed",
    async run(on) {
      const id = await sheetOf(on, "molar-crown-ordered");
      const page = await room(on, id);
      const order = page.getByRole("form", { name: "Ordered or placed" });
      await order.getByLabel(/^Patient/).fill("P9001");
      await order.getByLabel("Laboratory").fill("North");
      await order.getByLabel(/^Day/).fill("2026-10-01");
      await order.getByRole("button", { name: "Enter it as ordered" }).click();
      const line = page.locator("section[aria-labelledby=ordered] li", { hasText: "P9001" });
      await line.waitFor({ timeout: 20_000 });
      const key = (await line.getAttribute("data-restoration")) ?? "";
      const ordered = async () => (await api<{ restoration: string; try_ins: number }[]>(on, "/register/ordered")).find((o) => o.restoration === key);
      assert.equal((await ordered())?.try_ins, 0);
      // Sent back, for two causes; by keyboard.
      await line.getByRole("button", { name: /^tried in/ }).focus();
      await page.keyboard.press("Enter");
      const form = page.getByRole("form", { name: /^Try-in of/ });
      const enter = form.getByRole("button", { name: "Enter the try-in" });
      assert.equal(await enter.isDisabled(), true, "nothing is entered before it is said how it went");
      const outcomes = form.locator("fieldset").first().locator("button");
      assert.equal(await outcomes.count(), 3);
      await outcomes.last().focus();
      await page.keyboard.press("Enter");
      const causes = form.locator("fieldset").nth(1).locator("button");
      for (const i of [0, 2]) {
        await causes.nth(i).focus();
        await page.keyboard.press("Enter");
        assert.equal(await causes.nth(i).getAttribute("aria-pressed"), "true");
      }
      await form.getByLabel(/^Day/).fill("2026-10-12");
      await enter.click();
      await page.locator("section[aria-labelledby=ordered] [role=status]", { hasText: "Entered" }).waitFor({ timeout: 20_000 });
      await line.getByText("tried in once").waitFor({ timeout: 20_000 });
      // The day it comes back: before it was ordered is refused in words, and what was typed stays.
      await line.getByRole("button", { name: /^tried in/ }).click();
      // On a narrow screen the form stands within it.
      await page.setViewportSize({ width: 390, height: 844 });
      assert.ok((await page.evaluate(() => document.documentElement.scrollWidth)) <= 390, "the open form runs off a narrow screen");
      await page.setViewportSize({ width: 1280, height: 800 });
      await outcomes.first().click();
      assert.equal(await form.locator("fieldset").count(), 1, "what fitted has no cause");
      await form.getByLabel(/^Day/).fill("2026-09-01");
      await enter.click();
      await form.locator(".trouble").waitFor({ timeout: 20_000 });
      assert.match(await form.locator(".trouble").innerText(), /2026-09-01/);
      assert.equal((await ordered())?.try_ins, 1);
      await form.getByLabel(/^Day/).fill("2026-10-20");
      await enter.click();
      await line.getByText("tried in 2 times").waitFor({ timeout: 20_000 });
      // Placed: off the list of orders, among what stands.
      await line.getByRole("button", { name: /^placed/ }).click();
      await page.getByRole("form", { name: /^Placing/ }).getByRole("button", { name: "Enter it as placed" }).click();
      await line.waitFor({ state: "detached", timeout: 20_000 });
      assert.ok((await api<Standing[]>(on, "/register/list")).some((r) => r.restoration === key));
      assert.deepEqual(wrong(page), []);
    },
  },
  {
    name: "looking back by every grouping, looking out with its charts",
    async run(on) {
      const page = await room(on);
      const back = page.locator("section[aria-labelledby=audit]");
      await back.locator("figure svg").first().waitFor({ timeout: 20_000 });
      const groupings = await back.locator("select option").evaluateAll((all) => all.map((o) => (o as HTMLOptionElement).value));
      assert.ok(groupings.length >= 8, groupings.join());
      for (const by of groupings) {
        const [answer] = await Promise.all([page.waitForResponse((r) => r.url().includes("/register/audit") && r.url().includes(`by=${by}`)), by === groupings[0] ? page.reload() : back.locator("select").selectOption(by)]);
        const { groups } = (await answer.json()) as { groups: { group: string; events: number; restorations: number; by_kind: [string, number][] }[] };
        assert.ok(groups.length >= 1, by);
        await page.waitForFunction((n) => document.querySelectorAll("section[aria-labelledby=audit] .two > *").length === n, groups.length);
        const said = await back.innerText();
        assert.ok(groups.every((g) => said.includes(`${g.events} lost of ${g.restorations}`) || said.includes(`${g.restorations} entered`)), `${by}: ${said.slice(0, 400)}`);
        assert.doesNotMatch(said, /undefined|NaN|\[object|_/);
      }
      const out = page.locator("section[aria-labelledby=watch]");
      const watched = await api<{ charts: { alerts: object[] }[]; not_yet: object[] }>(on, "/register/watch");
      await page.waitForFunction((n) => document.querySelectorAll("section[aria-labelledby=watch] figure").length === n, watched.charts.length, { timeout: 20_000 });
      assert.equal(await out.locator("p.trouble").count(), watched.charts.flatMap((c) => c.alerts).length, "every alarm is a sentence");
      assert.doesNotMatch(await out.innerText(), /undefined|NaN|\[object/);
      assert.deepEqual(wrong(page), []);
    },
  },
];
