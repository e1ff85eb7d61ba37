// The first time: nothing stands there yet, every room says what to do, and a worked example is one press away. A wrong file says what
// happened, what is safe and what to do.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import type { Sheet } from "../src/api/types";
import { api, open, wrong } from "./desk";
import { ball, drop } from "./files";
import { example, sheetOf } from "./rooms";
import type { Test } from "./run";

export const first: Test[] = [
  {
    name: "the first run: the invented practice, and a short worked example beside its first case",
    async run(on) {
      const page = await open(on, "/");
      await page.getByRole("heading", { name: "No sheet yet" }).waitFor();
      assert.match(await page.locator(".lead").innerText(), /Begin an empty one/);
      await page.getByRole("heading", { name: "The invented practice" }).waitFor();
      assert.ok((await page.locator(".lines li").count()) >= 10, "its cases");
      await page.getByRole("button", { name: "Read a worked example first" }).click();
      const worked = page.getByRole("region", { name: "To try on this invented case" });
      await worked.waitFor({ timeout: 20_000 });
      await page.waitForSelector(".ways", { timeout: 30_000 });
      // What the example says can be done: a phrase opens its reasons, a name its row.
      await page.locator(".way .ask").first().click();
      await page.locator(".way .why").first().waitFor();
      await page.locator(".six tbody th button").first().click();
      await page.locator(".opened .cut").first().waitFor({ timeout: 20_000 });
      await worked.getByRole("button", { name: "Put this away" }).click();
      await worked.waitFor({ state: "detached" });
      await page.reload();
      await page.waitForSelector(".ways", { timeout: 30_000 });
      assert.equal(await worked.count(), 0, "put away, it stays away");
      // The list holds the sheet now; taken off, it can be brought back.
      await page.click(".head nav a:text-is('Sheets')");
      const take = page.getByRole("button", { name: /^take off/ });
      await take.click();
      await page.getByRole("heading", { name: "No sheet yet" }).waitFor();
      await page.getByRole("button", { name: "Bring it back" }).click();
      await take.waitFor();
      assert.deepEqual(wrong(page), []);
    },
  },
  {
    name: "empty states say what to do: an empty sheet, its papers, no register",
    async run(on) {
      const { id } = await api<Sheet>(on, "/sheets", "POST", { from: "empty" });
      const page = await open(on, `/#/sheet/${id}`);
      await page.getByRole("heading", { name: "Which tooth, or which gap?" }).waitFor();
      assert.match(await page.locator(".empty").first().innerText(), /Press it on the arch/);
      assert.match(await page.locator(".question").innerText(), /Which tooth\? Press it on the arch/);
      await page.keyboard.press("p");
      await page.getByRole("heading", { name: "Papers" }).waitFor({ timeout: 20_000 });
      await page.getByText("Writing the papers").waitFor({ state: "hidden", timeout: 20_000 });
      await page.locator(".empty, .trouble").first().waitFor({ timeout: 20_000 });
      assert.match(await page.locator("main").innerText(), /sheet|tooth/);
      await page.click(".head nav a:text-is('Register')");
      await page.getByText("there is no register yet").waitFor({ timeout: 20_000 });
      await page.getByRole("button", { name: "Make a register" }).click();
      await page.getByText("Nobody is overdue.", { exact: false }).waitFor({ timeout: 20_000 });
      for (const words of [/Nothing has been placed yet|none long enough/, /Open the sheet of the case first/, /Nothing is watched yet/]) await page.getByText(words).first().waitFor({ timeout: 20_000 });
      assert.deepEqual(wrong(page), []);
    },
  },
  {
    name: "a table and its layout dropped on a sheet go to the register and are taken in",
    async run(on) {
      await api(on, "/register/init", "POST", {});
      const id = await sheetOf(on, "premolar-too-close");
      const page = await open(on, `/#/sheet/${id}`);
      await page.waitForSelector(".matter");
      await drop(page, "old-table.csv", readFileSync(example("register/old-table.csv")));
      await page.waitForSelector("#import");
      await drop(page, "layout.toml", readFileSync(example("register/layout.toml")));
      await page.getByRole("button", { name: "See what would be taken" }).click();
      await page.getByText(/Would take \d+ entries from 7 rows.*3 refused/).waitFor({ timeout: 20_000 });
      await page.getByRole("button", { name: "Take them in" }).click();
      await page.getByText(/Took \d+ entries/).waitFor({ timeout: 20_000 });
      assert.deepEqual(wrong(page), []);
    },
  },
  {
    name: "wrong files say what happened, what is safe and what to do; nothing is changed by them",
    async run(on) {
      const id = await sheetOf(on, "molar-crown-ordered");
      const before = await api<Sheet>(on, `/sheets/${id}`);
      const page = await open(on, `/#/sheet/${id}`);
      await page.waitForSelector(".ways", { timeout: 30_000 });
      const told = async (name: string, what: RegExp) => {
        await page.waitForFunction((n) => document.querySelector("[role=alert]")?.textContent?.includes(`${n} was not taken`), name, { timeout: 30_000 });
        const text = await page.locator("[role=alert]").innerText();
        assert.match(text, what);
        assert.match(text, /The sheet was not changed\./);
        assert.match(text, /anew/, "what to do");
      };
      // Not a surface, though its name says so; not a photograph either.
      await drop(page, "scan.stl", Buffer.from("this is no surface at all"));
      await told("scan.stl", /STL, PLY, OBJ/);
      await drop(page, "stump.png", Buffer.from("nor is this a photograph"));
      await told("stump.png", /JPEG or PNG/);
      // A scan dropped where no sheet is.
      await page.goto(`${on.base}/#/`);
      await page.waitForSelector(".action.main");
      await drop(page, "scan.stl", ball());
      await page.getByText("Open the sheet, then drop the file on it.").waitFor();
      assert.equal((await api<Sheet>(on, `/sheets/${id}`)).revision, before.revision);
      assert.deepEqual(wrong(page), []);
    },
  },
];
