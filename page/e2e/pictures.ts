// Pictures of every view at three widths on both grounds, to be looked at: `--show=FOLDER`, some of them with `--views=NAMES`.

import { writeFileSync } from "node:fs";
import { join } from "node:path";
import type { Page } from "playwright-core";
import { api, open } from "./desk";
import { sheetOf } from "./rooms";
import { solved } from "./space";
import { unprepared } from "./stump";
import type { Test } from "./run";

const SIZES: [string, number, number][] = [["laptop", 1280, 800], ["tablet", 820, 1180], ["narrow", 390, 844]];

interface View {
  name: string;
  /** Where it stands, of the sheets that were made. */
  at: (of: { bridge: string; incisor: string; ordered: string; premolar: string }) => string;
  ready: string;
  act?: (page: Page) => Promise<void>;
}

const firstRow = (page: Page) => page.locator(".six tbody th button").first().click();

const VIEWS: View[] = [
  { name: "home", at: () => "/", ready: ".lines li" },
  { name: "sheet", at: ({ bridge }) => `/#/sheet/${bridge}`, ready: ".six tbody tr" },
  { name: "opened", at: ({ bridge }) => `/#/sheet/${bridge}`, ready: ".six tbody tr", act: firstRow },
  {
    name: "stump",
    at: ({ incisor }) => `/#/sheet/${incisor}`,
    ready: ".question.done",
    async act(page) {
      await page.waitForSelector(".ways");
      await page.click(".question .answers button");
      await page.waitForSelector("#stump input");
      for (const [i, text] of ["1.1", "1", "0.7", "16", "52", "6", "22"].entries()) {
        await page.locator("#stump input").nth(i).fill(text);
        await page.locator("#stump input").nth(i).blur();
      }
      await page.waitForSelector(".since li", { timeout: 30_000 });
    },
  },
  {
    name: "stress",
    at: ({ premolar }) => `/#/sheet/${premolar}`,
    ready: ".six tbody tr",
    async act(page) {
      await firstRow(page);
      await page.getByRole("button", { name: "See it in three dimensions" }).click();
      await page.waitForFunction(() => /MPa/.test(document.querySelector(".legend")?.textContent ?? ""), undefined, { timeout: 60_000 });
    },
  },
  { name: "papers", at: ({ ordered }) => `/#/sheet/${ordered}/papers`, ready: "iframe.paper" },
  ...([["dossier", /everything/i], ["slides", /figures/i]] as const).map(([paper, title]): View => ({
    name: `papers-${paper}`,
    at: ({ ordered }) => `/#/sheet/${ordered}/papers`,
    ready: "iframe.paper",
    async act(page) {
      await page.locator(".tray nav button", { hasText: title }).first().click();
      await page.frameLocator("iframe.paper").locator("h1", { hasNotText: /^Record note/ }).first().waitFor({ timeout: 60_000 });
    },
  })),
  {
    name: "try-in",
    at: () => "/#/register",
    ready: "section[aria-labelledby=ordered] li",
    async act(page) {
      await page.locator("section[aria-labelledby=ordered] li button").first().click();
      await page.locator('form.try-in button[data-value="sent_back"]').click();
      await page.locator('form.try-in button[data-value="margin"]').click();
    },
  },
  { name: "evidence", at: () => "/#/evidence", ready: ".map .spot" },
  { name: "register", at: () => "/#/register", ready: "#due" },
];

/** Those of which the name is told: `--show=FOLDER --views=stump,register`. */
const views = process.argv.find((a) => a.startsWith("--views="))?.slice(8).split(",");

/** Every paper of one case as a printer gets it. */
const papers = (folder: string): Test => ({
  name: "pictures of every paper",
  async run(on) {
    const id = await sheetOf(on, "molar-crown-ordered");
    const made = (await api<{ name: string; made: boolean }[]>(on, `/sheets/${id}/papers`)).filter((p) => p.made);
    const page = await on.browser.newPage();
    for (const { name } of made) {
      await page.goto(`${on.base}/api/sheets/${id}/papers/${name}.html`);
      writeFileSync(join(folder, `paper-${name}.pdf`), await page.pdf({ preferCSSPageSize: true, format: "A4" }));
    }
  },
});

export function pictures(folder: string | undefined): Test[] {
  if (!folder) return [];
  return [papers(folder)].concat(SIZES.flatMap(([size, width, height]) =>
    [false, true].map((dark) => ({
      name: `pictures at ${width}, ${dark ? "dark" : "light"}`,
      async run(on) {
        const of = { bridge: await sheetOf(on, "bridge-45-47"), incisor: await unprepared(on, "dark-incisor-cast-post", [11]), ordered: await sheetOf(on, "molar-crown-ordered"), premolar: await sheetOf(on, "premolar-too-close") };
        if (!views || views.includes("stress")) await solved(on, of.premolar);
        await api(on, "/register/init", "POST", { invented: 300 });
        await api(on, "/register/place", "POST", { sheet: of.ordered, patient: "P0412", ordered: "2026-06-01", laboratory: "North" });
        for (const { name, at, ready, act } of VIEWS.filter((v) => !views || views.includes(v.name))) {
          const page = await open(on, at(of), { width, height, dark });
          await page.waitForSelector(ready, { timeout: 30_000 });
          await act?.(page);
          await page.waitForTimeout(900);
          await page.screenshot({ path: join(folder, `${name}-${size}-${dark ? "dark" : "light"}.png`), fullPage: true });
          await page.close();
        }
      },
    } satisfies Test)),
  ));
}
