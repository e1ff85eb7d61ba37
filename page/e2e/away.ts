// No network, no server, a reload in the middle of long work: the sheet goes on.

import assert from "node:assert/strict";
import type { Sheet } from "../src/api/types";
import { read } from "../src/state/case";
import { api, open, wrong } from "./desk";
import { sheetOf } from "./rooms";
import type { Test } from "./run";

export const away: Test[] = [
  {
    name: "there is no network at all: another host is not found, the sheet and its papers are",
    async run(on) {
      const id = await sheetOf(on, "molar-crown-ordered");
      const page = await open(on, `/#/sheet/${id}`);
      await page.waitForSelector(".ways", { timeout: 30_000 });
      const stranger = await on.browser.newPage();
      const found = await stranger.goto("http://example.org/", { timeout: 5000 }).then(() => true, () => false);
      assert.equal(found, false, "another host can be reached: nothing is shown by this test");
      await stranger.close();
      const asked: string[] = [];
      page.on("request", (r) => asked.push(r.url()));
      await page.keyboard.press("p");
      await page.frameLocator("iframe.paper").locator("h1").first().waitFor({ timeout: 60_000 });
      await page.click(".head nav a:text-is('Evidence')");
      await page.waitForSelector(".figure-holder svg", { timeout: 30_000 });
      await page.click(".head nav a:text-is('Register')");
      await page.waitForSelector("#import");
      assert.ok(asked.length > 5);
      assert.deepEqual(asked.filter((url) => new URL(url).origin !== on.base && !/^(data|blob|about):/.test(url)), []);
      assert.deepEqual(wrong(page), []);
    },
  },
  {
    name: "while the program is away answers are taken and typed numbers kept; they are written when it is back",
    async run(on) {
      const id = await sheetOf(on, "premolar-too-close");
      const page = await open(on, `/#/sheet/${id}`);
      await page.waitForSelector(".ways", { timeout: 30_000 });
      // A row already answered is opened again, field by field.
      await page.locator(".beside summary").click();
      await page.locator(".beside details .item", { hasText: /[Aa]ge/ }).first().click();
      await page.waitForSelector(".question .inline input");
      await on.server.kill();
      await page.locator(".question .inline input").fill("61");
      await page.keyboard.press("Enter");
      await page.waitForSelector("[role=alert] .trouble");
      const told = await page.locator("[role=alert]").innerText();
      assert.match(told, /does not answer/);
      assert.match(told, /held in this page/);
      assert.match(told, /Start/);
      const first = await page.locator(".matter span:nth-child(2)").first().innerText();
      await page.locator(".matter button:not([disabled])").first().click();
      await page.waitForFunction((was) => document.querySelector(".matter span:nth-child(2)")?.textContent !== was, first);
      const order = await page.locator(".matter span:nth-child(2)").allInnerTexts();
      assert.equal(await page.locator(".head [role=status]").innerText(), "saving", "nothing is called saved that is not");
      // Left and opened again while the program was away: what was held in this window is written then.
      await page.goto("about:blank");
      await on.server.start();
      await page.goto(`${on.base}/#/sheet/${id}`);
      await page.waitForFunction(() => document.querySelector(".head [role=status]")?.textContent === "saved", undefined, { timeout: 20_000 });
      await page.waitForSelector(".ways", { timeout: 30_000 });
      const now = (await api<Sheet>(on, `/sheets/${id}`)).case;
      assert.equal(read(now, "mouth.age"), 61);
      assert.deepEqual(await page.locator(".matter span:nth-child(2)").allInnerTexts(), order);
      assert.deepEqual(wrong(page), []);
    },
  },
  {
    name: "long work goes on over a reload, with its progress; what it found stands on the sheet",
    async run(on) {
      const id = await sheetOf(on, "premolar-too-close");
      const page = await open(on, `/#/sheet/${id}`);
      await page.waitForSelector(".ways", { timeout: 30_000 });
      await page.getByRole("button", { name: "Try every single change" }).click();
      await page.waitForSelector(".jobs progress");
      await page.reload();
      await page.waitForSelector(".jobs progress", { timeout: 20_000 });
      await page.getByRole("button", { name: "Trying every single change" }).waitFor({ timeout: 20_000 });
      // It ends, and the changes stand where the button was.
      const changes = page.locator("section[aria-label='What would change the answer']");
      await changes.getByText(/→|None of \d+ single changes/).first().waitFor({ timeout: 90_000 });
      // Loaded anew after its end it still stands.
      await page.reload();
      await changes.getByText(/→|None of \d+ single changes/).first().waitFor({ timeout: 30_000 });
      assert.deepEqual(wrong(page), []);
    },
  },
  {
    name: "long work is stopped by its button, and the sheet is as it was",
    async run(on) {
      const id = await sheetOf(on, "premolar-too-close");
      const page = await open(on, `/#/sheet/${id}`);
      await page.waitForSelector(".ways", { timeout: 30_000 });
      const before = await api<Sheet>(on, `/sheets/${id}`);
      await page.getByRole("button", { name: "Try every single change" }).click();
      await page.locator(".jobs").getByRole("button", { name: "stop it" }).click();
      await page.waitForSelector(".jobs", { state: "detached", timeout: 20_000 });
      await page.getByRole("button", { name: "Try every single change" }).waitFor();
      assert.deepEqual((await api<{ state: string }[]>(on, "/jobs")).map((j) => j.state), ["cancelled"]);
      assert.equal((await api<Sheet>(on, `/sheets/${id}`)).revision, before.revision);
      assert.deepEqual(wrong(page), []);
    },
  },
];
