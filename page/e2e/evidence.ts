// The evidence room as a user: the map, a place's studies with forest and funnel, an arm of one's own added, an arm retired with its reason.

import assert from "node:assert/strict";
import type { Page } from "playwright-core";
import { api, open, wrong } from "./desk";
import type { Test } from "./run";

interface Row {
  id: string;
  retired: string | null;
  pooled: object | string | null;
}

const all = async (page: Page) => Number(/(\d+) study arms/.exec(await page.locator(".lead").innerText())?.[1]);

const OWN = ["id=OWN1", "cohort=own.north.crowns", "construct=crown", "material=zirconia_3y", "build=monolithic", "n_restorations=120", "exposure_ry=400", "exposure_basis=reported", "failures=3", "source=own_register", "basis=read"];

export const evidence: Test[] = [
  {
    name: "pooling anew is long work: begun by its button, told with its progress, stopped; what stood stands",
    async run(on) {
      const page = await open(on, "/#/evidence");
      await page.waitForSelector(".figure-holder svg", { timeout: 30_000 });
      const before = await page.locator(".lead").innerText();
      await page.getByRole("button", { name: "Pool anew" }).click();
      await page.waitForFunction(() => (document.querySelector<HTMLProgressElement>(".jobs progress")?.value ?? 0) > 0, undefined, { timeout: 60_000 });
      assert.ok(await page.getByRole("button", { name: "Pool anew" }).isDisabled(), "once is enough");
      await page.locator(".jobs").getByRole("button", { name: "stop it" }).click();
      await page.waitForSelector(".jobs", { state: "detached", timeout: 60_000 });
      assert.deepEqual((await api<{ state: string }[]>(on, "/jobs")).map((j) => j.state), ["cancelled"]);
      assert.equal(await page.locator(".lead").innerText(), before);
      assert.deepEqual(wrong(page), []);
    },
  },
  {
    name: "the evidence room shows the map; a place chosen on it shows its studies, forest and funnel",
    async run(on) {
      const page = await open(on, "/#/evidence");
      await page.waitForSelector(".figure-holder svg", { timeout: 30_000 });
      assert.ok((await all(page)) > 100);
      const spots = page.locator(".map .spot");
      const title = page.locator("section[aria-label='Studies of the chosen place'] h2");
      const before = await title.innerText();
      // Another place, by keyboard.
      const other = spots.nth((await spots.evaluateAll((list) => list.findIndex((s) => s.getAttribute("aria-pressed") !== "true" && /[1-9]\d* arms/.test(s.textContent ?? "")))));
      await other.focus();
      await page.keyboard.press("Enter");
      await page.waitForFunction((was) => document.querySelector("section[aria-label='Studies of the chosen place'] h2")?.textContent !== was, before);
      assert.equal(await other.getAttribute("aria-pressed"), "true");
      const arms = Number(/(\d+) arm/.exec(await page.locator("section[aria-label='Studies of the chosen place'] header").innerText())?.[1]);
      await page.waitForFunction(() => document.querySelectorAll(".figure-holder svg, .figure-holder p.quiet").length === 2 && !document.body.innerText.includes("Drawing."), undefined, { timeout: 30_000 });
      const rows = await page.locator("section[aria-labelledby=studies] tbody tr").count();
      assert.ok(rows >= Math.min(arms, 25), `${rows} rows, ${arms} arms`);
      assert.deepEqual(wrong(page), []);
    },
  },
  {
    name: "an arm of one's own is checked, added and stands in the list; one is retired with its reason",
    async run(on) {
      const page = await open(on, "/#/evidence");
      await page.waitForSelector("section[aria-labelledby=studies] tbody tr", { timeout: 30_000 });
      const before = await all(page);
      await page.getByRole("button", { name: "Add an arm" }).click();
      const form = page.getByRole("form", { name: "Add an arm" });
      // A wrong one first: what is wrong is said, and nothing is written.
      await form.locator("textarea").fill(OWN.filter((l) => !l.startsWith("exposure")).join("\n").replace("failures=3", "failures=300"));
      await form.getByRole("button", { name: "Check it only" }).click();
      await form.locator(".trouble").waitFor({ timeout: 20_000 });
      assert.equal((await api<Row[]>(on, "/evidence/studies")).length, before);
      await form.locator("textarea").fill(OWN.join("\n"));
      await form.getByRole("button", { name: "Check it only" }).click();
      await page.waitForFunction(() => (document.querySelector(".said")?.textContent ?? "").length > 10, undefined, { timeout: 20_000 });
      assert.equal(await form.locator(".trouble").count(), 0);
      assert.equal((await api<Row[]>(on, "/evidence/studies")).length, before, "a check writes nothing");
      await form.getByRole("button", { name: "Add it" }).click();
      await page.waitForFunction((n) => document.querySelector(".lead")?.textContent?.includes(`${n} study arms`), before + 1, { timeout: 20_000 });
      // Retired: it stays listed with the reason.
      const every = page.locator("section[aria-labelledby=studies] header button", { hasText: /^all/ });
      if (await every.count()) await every.click();
      const more = page.getByRole("button", { name: /show the other/ });
      if (await more.count()) await more.click();
      const row = page.locator("section[aria-labelledby=studies] tr", { hasText: "OWN1" });
      await row.getByRole("button", { name: "retire OWN1" }).click();
      await row.getByRole("textbox").fill("counted twice in the register");
      await row.getByRole("button", { name: "retire" }).click();
      await row.getByText(/no: .*counted twice in the register/).waitFor({ timeout: 20_000 });
      assert.equal((await api<Row[]>(on, "/evidence/studies")).length, before + 1, "it is not gone");
      // One that came with the program: taken out, and brought back.
      const shipped = (await api<Row[]>(on, "/evidence/studies")).find((r) => r.id !== "OWN1" && typeof r.pooled === "object" && "Ok" in (r.pooled ?? {}))?.id ?? "";
      const other = page.locator("section[aria-labelledby=studies] tr", { hasText: shipped });
      await other.getByRole("button", { name: `retire ${shipped}` }).click();
      await other.getByRole("textbox").fill("another reading of the same patients");
      await other.getByRole("button", { name: "retire" }).click();
      await other.getByRole("button", { name: `bring it back ${shipped}` }).click({ timeout: 20_000 });
      await other.getByRole("button", { name: `retire ${shipped}` }).waitFor({ timeout: 20_000 });
      assert.equal((await api<Row[]>(on, "/evidence/studies")).find((r) => r.id === shipped)?.retired, null);
      assert.deepEqual(wrong(page), []);
    },
  },
];
