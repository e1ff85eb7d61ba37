// The paper tray, every paper previewed as it prints; and an old table taken in.

import assert from "node:assert/strict";
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import type { Sheet } from "../src/api/types";
import { api, open, wrong, type Desk } from "./desk";
import { show } from "./show";
import type { Test } from "./run";

declare const PAGE_FOLDER: string;
export const example = (name: string) => join(PAGE_FOLDER, "../examples", name);

export async function sheetOf(on: Desk, name: string): Promise<string> {
  return (await api<Sheet>(on, "/sheets", "POST", { from: `example:${name}` })).id;
}

export const rooms: Test[] = [
  {
    name: "every paper that is made is previewed as it prints; the consent sheet in its second language",
    async run(on) {
      const id = await sheetOf(on, "molar-crown-ordered");
      const page = await open(on, `/#/sheet/${id}/papers`);
      await page.waitForSelector(".tray nav button", { timeout: 30_000 });
      const made = page.locator(".tray nav button:not([disabled])");
      const count = await made.count();
      assert.ok(count >= 5, `${count} papers`);
      const choice = page.locator(".tray .actions select");
      const texts = new Set<string>();
      let twice = 0;
      for (let i = 0; i < count; i++) {
        await made.nth(i).click();
        const frame = page.frameLocator("iframe.paper");
        await page.waitForFunction(({ n }) => document.querySelectorAll(".tray nav button:not([disabled])")[n]?.getAttribute("aria-current") === "true", { n: i });
        const source = await page.locator("iframe.paper").getAttribute("src");
        const text = await (await fetch(`${on.base}${source}`)).text();
        assert.ok(text.length > 300, `${source}: ${text.slice(0, 200)}`);
        assert.match(text, /<h1[^>]*>[^<]/);
        texts.add(text);
        if ((await choice.count()) === 0) continue;
        twice += 1;
        const own = await frame.locator("html").getAttribute("lang");
        const other = (await choice.locator("option").evaluateAll((all) => all.map((o) => (o as HTMLOptionElement).value)))[1] ?? "";
        await choice.selectOption(other);
        await frame.locator(`html[lang^="${other.slice(0, 2)}"]`).waitFor({ timeout: 20_000 });
        assert.notEqual(own?.slice(0, 2), other.slice(0, 2));
      }
      assert.equal(texts.size, count, "each is a paper of its own");
      assert.ok(twice >= 1, "one paper speaks two languages");
      assert.deepEqual(wrong(page), []);
    },
  },
  {
    name: "a paper is saved as PDF, or it is said why not",
    async run(on) {
      const id = await sheetOf(on, "molar-crown-ordered");
      const page = await open(on, `/#/sheet/${id}/papers`);
      const save = page.getByRole("button", { name: "Save as PDF" });
      await save.waitFor({ timeout: 30_000 });
      const download = page.waitForEvent("download", { timeout: 60_000 }).catch(() => null);
      await save.click();
      const first = await Promise.race([download, page.locator(".room > .trouble").waitFor({ timeout: 60_000 }).then(() => null)]);
      if (first) {
        const bytes = readFileSync((await first.path()) ?? "");
        assert.equal(bytes.subarray(0, 5).toString(), "%PDF-");
        assert.ok(bytes.length > 5_000, String(bytes.length));
      } else {
        const told = await page.locator(".room > .trouble").innerText();
        assert.match(told, /bisque-print/, told);
        console.log("skipped | PDF of a paper: the program bisque-print is not beside the program (cargo xtask print)");
        await page.locator("iframe.paper").waitFor();
      }
      assert.deepEqual(wrong(page), []);
    },
  },
  {
    name: "the sheet itself prints: its answers, nothing that only a screen can do",
    async run(on) {
      const id = await sheetOf(on, "bridge-45-47");
      const page = await open(on, `/#/sheet/${id}`);
      await page.waitForSelector(".six tbody tr", { timeout: 30_000 });
      const pdf = await page.pdf({ preferCSSPageSize: true });
      if (show) writeFileSync(join(show, "sheet.pdf"), pdf);
      const pages = (pdf.toString("latin1").match(/\/Type\s*\/Page\b(?!s)/g) ?? []).length;
      assert.ok(pages >= 1 && pages <= 4, `${pages} pages`);
      await page.emulateMedia({ media: "print" });
      for (const gone of [".question", ".head nav", ".head .tools", ".arch-tools", ".matter .move", ".worked"]) assert.equal(await page.locator(gone).first().isVisible(), false, gone);
      for (const there of ["h1.verdict", ".ways", ".stops", ".mark", ".arches", ".six"]) assert.equal(await page.locator(there).first().isVisible(), true, there);
      const wide = await page.evaluate(() => [...document.querySelectorAll<HTMLElement>("table, svg, .ways")].filter((e) => e.offsetParent !== null && e.getBoundingClientRect().right > document.documentElement.clientWidth + 1).length);
      assert.equal(wide, 0, "nothing runs off the paper");
      assert.deepEqual(wrong(page), []);
    },
  },
  {
    name: "an old table is taken in: first what would be taken, then taken",
    async run(on) {
      const page = await open(on, "/#/register");
      await page.getByRole("button", { name: "Make a register" }).click();
      await page.waitForSelector("#due");
      const [table, layout] = [page.locator("input[type=file][accept='.csv']"), page.locator("input[type=file][accept='.toml']")];
      await table.setInputFiles({ name: "old-table.csv", mimeType: "text/csv", buffer: readFileSync(example("register/old-table.csv")) });
      await layout.setInputFiles({ name: "layout.toml", mimeType: "text/plain", buffer: readFileSync(example("register/layout.toml")) });
      await page.getByRole("button", { name: "See what would be taken" }).click();
      await page.getByText(/Would take \d+ entries from 7 rows.*3 refused/).waitFor();
      await page.getByRole("button", { name: "Take them in" }).click();
      await page.getByText(/Took \d+ entries/).waitFor();
      await page.getByText(/lost of \d+|none long enough/).first().waitFor();
      assert.deepEqual(wrong(page), []);
    },
  },
];
