// The paper tray, every paper previewed as it prints; and an old table taken in.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import type { Sheet } from "../src/api/types";
import { api, open, wrong, type Desk } from "./desk";
import type { Test } from "./run";

declare const PAGE_FOLDER: string;
export const example = (name: string) => join(PAGE_FOLDER, "../examples", name);

export async function sheetOf(on: Desk, name: string): Promise<string> {
  return (await api<Sheet>(on, "/sheets", "POST", { from: `example:${name}` })).id;
}

export const rooms: Test[] = [
  {
    name: "every paper that is made is previewed",
    async run(on) {
      const id = await sheetOf(on, "molar-crown-ordered");
      const page = await open(on, `/#/sheet/${id}/papers`);
      await page.waitForSelector(".tray nav button", { timeout: 30_000 });
      const made = page.locator(".tray nav button:not([disabled])");
      const count = await made.count();
      assert.ok(count >= 5, `${count} papers`);
      for (let i = 0; i < count; i++) {
        await made.nth(i).click();
        const source = await page.locator("iframe.paper").getAttribute("src");
        const text = await (await fetch(`${on.base}${source}`)).text();
        assert.ok(text.length > 300, `${source}: ${text.slice(0, 200)}`);
      }
      await page.click(".tray .action.main");
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
