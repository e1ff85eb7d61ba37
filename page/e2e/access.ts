// Every view by axe-core (WCAG 2.2 A and AA), zero violations; text at 200 %; reach by keyboard; reduced motion.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import type { Page } from "playwright-core";
import { api, open, wrong, type Desk } from "./desk";
import { sheetOf } from "./rooms";
import { unprepared } from "./stump";
import type { Test } from "./run";

declare const PAGE_FOLDER: string;
const axe = readFileSync(createRequire(`${PAGE_FOLDER}package.json`).resolve("axe-core/axe.min.js"), "utf8");

async function violations(page: Page): Promise<string[]> {
  // The page's policy allows no script but its own: the checker is handed in by the debugger.
  await page.evaluate(axe);
  return page.evaluate(async () => {
    const { axe } = window as unknown as { axe: { run(of: Document, how: object): Promise<{ violations: { id: string; help: string; nodes: { html: string; failureSummary?: string }[] }[] }> } };
    const found = await axe.run(document, { runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"] });
    return found.violations.map((v) => `${v.id}: ${v.help}: ${v.nodes.slice(0, 2).map((n) => `${n.html.slice(0, 140)} [${n.failureSummary?.split("\n")[1]?.trim() ?? ""}]`).join(" | ")}`);
  });
}

interface View {
  name: string;
  make(on: Desk): Promise<string>;
  ready: string;
  act?(page: Page): Promise<void>;
}

const VIEWS: View[] = [
  { name: "the list of sheets", make: async (on) => { await sheetOf(on, "worn-molar"); return "/"; }, ready: ".lines li" },
  { name: "an empty sheet", make: async (on) => `/#/sheet/${(await api<{ id: string }>(on, "/sheets", "POST", { from: "empty" })).id}`, ready: ".question", act: (page) => page.keyboard.press("?") },
  {
    name: "a full sheet with everything opened",
    make: async (on) => `/#/sheet/${await sheetOf(on, "bridge-45-47")}`,
    ready: ".six tbody tr",
    async act(page) {
      for (const selector of [".way .ask", ".stops .ask", ".mark .ask", ".beside summary"]) await page.locator(selector).first().click();
      await page.locator(".six tbody th button").first().click();
      await page.locator(".beside .item").last().click();
      await page.locator(".question .each").first().click({ timeout: 3000 }).catch(() => undefined);
      await page.waitForTimeout(1500);
    },
  },
  { name: "the paper tray", make: async (on) => `/#/sheet/${await sheetOf(on, "molar-crown-ordered")}/papers`, ready: "iframe.paper" },
  { name: "the evidence room", make: async () => "/#/evidence", ready: "#studies" },
  { name: "the register room, none yet", make: async () => "/#/register", ready: "#import" },
  {
    name: "the register room with its forms open",
    async make(on) {
      await api(on, "/register/init", "POST", { invented: 60 });
      const sheet = await sheetOf(on, "molar-crown-ordered");
      await api(on, "/register/place", "POST", { sheet, patient: "P9001", ordered: "2026-10-01" });
      return "/#/register";
    },
    ready: "#ordered",
    async act(page) {
      await page.getByRole("button", { name: /^tried in/ }).click();
      await page.locator(".try-in fieldset button").last().click();
      await page.getByRole("button", { name: "something happened" }).first().click();
      await page.waitForSelector("section[aria-labelledby=audit] figure, section[aria-labelledby=audit] p");
    },
  },
  {
    name: "a way opened in three dimensions",
    make: async (on) => `/#/sheet/${await sheetOf(on, "premolar-too-close")}`,
    ready: ".six tbody tr",
    async act(page) {
      await page.locator(".six tbody th button").first().click();
      await page.getByRole("button", { name: "See it in three dimensions" }).click();
      await page.waitForFunction(() => document.querySelector(".space .small")?.textContent?.includes("triangles"), undefined, { timeout: 60_000 });
    },
  },
  {
    name: "the sheet at the stump",
    make: async (on) => `/#/sheet/${await unprepared(on, "dark-incisor-cast-post", [11])}`,
    ready: ".question.done",
    async act(page) {
      await page.click(".question .answers button");
      await page.waitForSelector("#stump input");
    },
  },
];

export const access: Test[] = VIEWS.flatMap((view) =>
  [false, true].map((dark) => ({
    name: `axe finds nothing: ${view.name}, ${dark ? "dark" : "light"}`,
    async run(on: Desk) {
      const page = await open(on, await view.make(on), { dark, still: true });
      await page.waitForSelector(view.ready, { timeout: 30_000 });
      await view.act?.(page);
      assert.deepEqual(await violations(page), []);
      assert.deepEqual(wrong(page), []);
    },
  })),
).concat([
  {
    name: "text at 200 % and a width of 640: nothing runs out of the window, targets stay large enough",
    async run(on) {
      const id = await sheetOf(on, "bridge-45-47");
      const page = await open(on, `/#/sheet/${id}`, { width: 640, height: 800 });
      await page.waitForSelector(".six tbody tr", { timeout: 30_000 });
      for (const size of ["100%", "200%"]) {
        await page.evaluate((s) => document.documentElement.style.setProperty("font-size", s), size);
        await page.waitForTimeout(100);
        const over = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
        assert.ok(over <= 0, `${over} px too wide at ${size}`);
      }
      const small = await page.evaluate(() =>
        [...document.querySelectorAll<HTMLElement>("button,select,input,[role=slider]")]
          .filter((e) => e.offsetParent && !e.classList.contains("sr") && getComputedStyle(e).display !== "inline")
          .map((e) => ({ box: e.getBoundingClientRect(), text: e.outerHTML.slice(0, 80) }))
          .filter(({ box }) => box.height < 24 || box.width < 24)
          .map(({ text, box }) => `${box.width.toFixed(0)}x${box.height.toFixed(0)} ${text}`));
      assert.deepEqual(small, []);
    },
  },
  {
    name: "a question mark lists the keys in place, and takes them away again; what moves keeps still when asked",
    async run(on) {
      const { id } = await api<{ id: string }>(on, "/sheets", "POST", { from: "empty" });
      const page = await open(on, `/#/sheet/${id}`, { still: true });
      await page.waitForSelector(".question");
      await page.keyboard.press("?");
      await page.waitForSelector("#keys");
      // Each key said to work on the sheet stands in the list that a colleague would read.
      const words = (await page.locator("#keys").textContent()) ?? "";
      for (const key of ["undo", "to the arch", "to the table", "to the papers", "answer the question"]) assert.ok(words.includes(key), `${key}: ${words}`);
      await page.keyboard.press("?");
      await page.waitForSelector("#keys", { state: "detached" });
      await page.getByRole("button", { name: "Keys" }).click();
      await page.waitForSelector("#keys");
      await page.getByRole("button", { name: "away with it" }).click();
      await page.waitForSelector("#keys", { state: "detached" });
      const moving = await page.evaluate(() =>
        [...document.querySelectorAll<HTMLElement>("*")].filter((e) => {
          const style = getComputedStyle(e);
          return [style.transitionDuration, style.animationDuration].some((times) => times.split(",").some((t) => parseFloat(t) > 0.01));
        }).length);
      assert.equal(moving, 0, "nothing is animated under reduced motion");
      assert.deepEqual(wrong(page), []);
    },
  },
  {
    name: "the order of the keyboard is the order of the page",
    async run(on) {
      const page = await open(on, `/#/sheet/${await sheetOf(on, "worn-molar")}`);
      await page.waitForSelector(".six tbody tr", { timeout: 30_000 });
      const order: number[] = [];
      for (let i = 0; i < 25; i++) {
        await page.keyboard.press("Tab");
        // Where it stands in the document; -1 when the focus left the page.
        order.push(await page.evaluate(() => (document.activeElement === document.body ? -1 : [...document.querySelectorAll("*")].indexOf(document.activeElement as Element))));
      }
      assert.ok(order.every((at, i) => at >= 0 && (i === 0 || at > (order[i - 1] ?? 0))), order.join(" "));
      const seen = await page.evaluate(() => {
        const style = getComputedStyle(document.activeElement as Element);
        return style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2;
      });
      assert.ok(seen, "what has the focus is outlined");
      assert.deepEqual(wrong(page), []);
    },
  },
  {
    name: "the arch is drawn on by keyboard and says what it does",
    async run(on) {
      const { id } = await api<{ id: string }>(on, "/sheets", "POST", { from: "empty" });
      const page = await open(on, `/#/sheet/${id}`);
      await page.waitForSelector("[data-tooth]");
      await page.keyboard.press("a");
      const name = () => page.evaluate(() => document.activeElement?.getAttribute("aria-label") ?? "");
      assert.match(await name(), /16, upper right first molar, left alone/);
      await page.keyboard.press("ArrowRight");
      assert.match(await name(), /15, .*premolar, left alone/);
      await page.keyboard.press("ArrowDown");
      assert.match(await name(), /45, lower right/);
      await page.keyboard.press("m");
      await page.waitForFunction(() => /missing/.test(document.activeElement?.getAttribute("aria-label") ?? ""));
      assert.equal(await page.locator('[data-tooth][aria-pressed="true"]').count(), 3);
      assert.equal(await page.locator('[data-tooth][tabindex="0"]').count(), 1, "one tooth in the order of the keyboard");
      assert.deepEqual(wrong(page), []);
    },
  },
]);
