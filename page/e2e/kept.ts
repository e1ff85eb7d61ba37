// Nothing that was answered is lost: a killed server, a reload, two windows, undo and redo.

import assert from "node:assert/strict";
import type { Sheet } from "../src/api/types";
import { read } from "../src/state/case";
import { api, open, wait, wrong, type Desk } from "./desk";
import type { Test } from "./run";

async function example(on: Desk, name = "premolar-too-close"): Promise<Sheet> {
  return api<Sheet>(on, "/sheets", "POST", { from: `example:${name}` });
}

const saved = (page: Awaited<ReturnType<typeof open>>) => page.waitForFunction(() => document.querySelector(".head [role=status]")?.textContent === "saved", undefined, { timeout: 20_000 });

export const kept: Test[] = [
  {
    name: "a server killed in mid-edit loses nothing",
    async run(on) {
      const { id } = await example(on);
      const page = await open(on, `/#/sheet/${id}`);
      await page.waitForSelector(".matter");
      const before = await page.locator(".matter").allInnerTexts();
      await page.locator(".matter button:not([disabled])").last().click();
      await saved(page);
      await on.server.kill();
      // An edit that nobody can write: it is held in the page, and the page says so.
      await page.locator(".matter button:not([disabled])").first().click();
      await page.waitForSelector("[role=alert] .trouble");
      const held = await page.locator(".matter").allInnerTexts();
      await on.server.start();
      await saved(page);
      assert.equal(await page.locator("[role=alert] .trouble").count(), 0, "the trouble is told no longer");
      assert.deepEqual(await page.locator(".matter").allInnerTexts(), held);
      assert.notDeepEqual(held, before);
      await page.reload();
      await page.waitForSelector(".matter");
      assert.deepEqual(await page.locator(".matter").allInnerTexts(), held, "and stands after a reload");
      await on.server.kill();
      await on.server.start();
      const order = read((await api<Sheet>(on, `/sheets/${id}`)).case, "wish.order");
      assert.ok(Array.isArray(order) && order.length === 4);
    },
  },
  {
    name: "every edit is undone and done again, by key and by button",
    async run(on) {
      const { id, case: of } = await example(on);
      const page = await open(on, `/#/sheet/${id}`);
      await page.waitForSelector(".matter");
      const order = async () => JSON.stringify(read((await api<Sheet>(on, `/sheets/${id}`)).case, "wish.order"));
      const first = JSON.stringify(read(of, "wish.order"));
      await page.locator(".matter button:not([disabled])").first().click();
      await saved(page);
      const second = await order();
      assert.notEqual(second, first);
      await page.keyboard.press("u");
      await page.waitForFunction(() => !(document.querySelector(".head .tools button:nth-of-type(2)") as HTMLButtonElement).disabled);
      assert.equal(await order(), first);
      await page.keyboard.press("Control+Shift+Z");
      await page.waitForFunction(() => (document.querySelector(".head .tools button:nth-of-type(2)") as HTMLButtonElement).disabled);
      assert.equal(await order(), second);
      await page.locator(".head .tools button", { hasText: "Undo" }).click();
      await page.waitForFunction(() => !(document.querySelector(".head .tools button:nth-of-type(2)") as HTMLButtonElement).disabled);
      assert.equal(await order(), first);
      assert.deepEqual(wrong(page), []);
    },
  },
  {
    name: "two windows do not write over each other in silence",
    async run(on) {
      const { id } = await example(on);
      const [one, two] = [await open(on, `/#/sheet/${id}`), await open(on, `/#/sheet/${id}`)];
      for (const page of [one, two]) await page.waitForSelector(".matter");
      await one.locator(".matter button:not([disabled])").first().click();
      await saved(one);
      await two.locator(".matter button:not([disabled])").last().click();
      await two.waitForSelector("[role=alert] .trouble");
      assert.match(await two.locator("[role=alert]").innerText(), /Changed elsewhere meanwhile.*wish\.order/);
      await wait(200);
      const shown = (page: typeof one) => page.locator(".matter span:nth-child(2)").allInnerTexts();
      assert.deepEqual(await shown(two), await shown(one), "the second window shows what the first has written");
    },
  },
  {
    name: "what was held while the program was away is laid over what another window changed meanwhile",
    async run(on) {
      const { id } = await example(on);
      const [one, two] = [await open(on, `/#/sheet/${id}`), await open(on, `/#/sheet/${id}`)];
      for (const page of [one, two]) await page.waitForSelector(".matter");
      await on.server.kill();
      await two.locator(".matter button:not([disabled])").first().click();
      await two.waitForSelector("[role=alert] .trouble");
      const order = await two.locator(".matter span:nth-child(2)").allInnerTexts();
      await two.goto("about:blank");
      await on.server.start();
      // Elsewhere another field is answered.
      const now = await api<Sheet>(on, `/sheets/${id}`);
      await api<Sheet>(on, `/sheets/${id}`, "PATCH", { set: [{ field: "mouth.age", value: 63 }] }, { "if-match": `"${now.revision}"` });
      await two.goto(`${on.base}/#/sheet/${id}`);
      await saved(two);
      const after = (await api<Sheet>(on, `/sheets/${id}`)).case;
      assert.equal(read(after, "mouth.age"), 63, "the other window's answer stands");
      await two.waitForSelector(".matter");
      assert.deepEqual(await two.locator(".matter span:nth-child(2)").allInnerTexts(), order, "and so does what was held");
      assert.deepEqual(wrong(two), []);
    },
  },
];
