// The page keeps to its own origin and to the policy it is served with.

import assert from "node:assert/strict";
import { open, wrong } from "./desk";
import { sheetOf } from "./rooms";
import type { Test } from "./run";

export const secure: Test[] = [
  {
    name: "a strict policy, no request to anyone else, nothing of the case in addresses",
    async run(on) {
      const heads = (await fetch(`${on.base}/`)).headers;
      const policy = heads.get("content-security-policy") ?? "";
      assert.match(policy, /default-src 'self'/);
      assert.doesNotMatch(policy, /unsafe/);
      const id = await sheetOf(on, "cracked-molar");
      const page = await open(on, "/");
      const asked: string[] = [];
      page.on("request", (r) => asked.push(r.url()));
      const refused: string[] = [];
      page.on("console", (m) => { if (/Content Security Policy/i.test(m.text())) refused.push(m.text()); });
      await page.goto(`${on.base}/#/sheet/${id}`);
      await page.waitForSelector(".ways", { timeout: 30_000 });
      await page.locator(".six tbody th button").first().click();
      await page.waitForTimeout(800);
      for (const url of asked) assert.doesNotMatch(decodeURIComponent(url), /invented-|pseudonym/, url);
      assert.deepEqual(refused, []);
      assert.deepEqual(wrong(page), []);
    },
  },
];
