// Each demo case from an empty sheet to printed papers, by mouse and again by keyboard only; answers, clicks and keystrokes are counted
// and held to what three minutes allow.

import assert from "node:assert/strict";
import type { Page } from "playwright-core";
import type { Case, Sheet, Words } from "../src/api/types";
import { arch, read } from "../src/state/case";
import { fill, finger, keyboard, mouse, type Hand } from "./answer";
import { api, open, wrong, type Desk } from "./desk";
import type { Test } from "./run";

const DEMOS = ["bridge-45-47", "dark-incisor-cast-post", "cracked-molar", "worn-molar", "implant-premolar", "lost-lower-incisor", "chipped-bridge", "chipped-crown", "molar-crown-ordered", "premolar-too-close"];

/** The case as the invented practice has it. */
async function demo(on: Desk, name: string): Promise<Case> {
  const made = await api<Sheet>(on, "/sheets", "POST", { from: `example:${name}` });
  return made.case;
}

/** At most so many answers: 14, front tooth 15; bridge or implant 16, in front 17. */
function allowed(of: Case, words: Words): number {
  const { teeth, missing } = arch(of);
  const front = teeth.some((t) => words.teeth.find((w) => w.code === t && /incisor|canine/.test(w.class)));
  return (missing.length > 0 ? 16 : 14) + (front ? 1 : 0);
}

const BY = new Map<(page: Page) => Hand, string>([[mouse, "mouse"], [keyboard, "keyboard"], [finger, "finger on a tablet"]]);

async function sheetToPapers(on: Desk, name: string, hand: (page: Page) => Hand): Promise<void> {
  const wanted = await demo(on, name);
  const words = await api<Words>(on, "/words");
  const page = await open(on, "/", hand === finger ? { width: 820, height: 1180, touch: true } : {});
  await page.waitForSelector(".action.main");
  const does = hand(page);
  if (hand !== keyboard) await does.press(".action.main");
  else {
    does.count.keys += 1;
    await page.keyboard.press("n");
  }
  await page.waitForSelector(".arches [data-tooth]");
  const id = /sheet\/([^/]+)/.exec(page.url())?.[1] ?? "";
  await fill(on, page, id, wanted, does);
  await page.waitForSelector(".ways:not(.behind .ways)", { timeout: 60_000 }).catch(async () => {
    const { case: now, issues } = await api<Sheet>(on, `/sheets/${id}`);
    throw new Error(`no ways were shown: ${JSON.stringify(issues)} ${JSON.stringify(now)} ${await page.locator("main").innerText()}`);
  });
  const given = (await api<Sheet>(on, `/sheets/${id}`)).case;
  for (const field of ["restoration.kind", "restoration.turn", "moment", "mouth.grinding", "mouth.opposing", "mouth.visible", "wish.order"]) {
    if (read(wanted, field) !== undefined) assert.deepEqual(read(given, field), read(wanted, field), `${name}: ${field} was not given as the case says`);
  }
  const sorted = (of: Case) => JSON.stringify(Object.values(arch(of)).map((l) => [...l].sort()));
  assert.equal(sorted(given), sorted(wanted));
  await does.goto("papers");
  await page.waitForSelector("iframe.paper", { timeout: 90_000 });
  await does.print();
  await page.frameLocator("iframe.paper").locator("h1").first().waitFor();
  const { answers, clicks, keys } = does.count;
  console.log(`counted | ${name} | ${BY.get(hand)} | answers ${answers} | clicks ${clicks} | keystrokes ${keys}`);
  assert.deepEqual(wrong(page), []);
  assert.ok(answers <= allowed(wanted, words), `${answers} answers, ${allowed(wanted, words)} allowed`);
  if (hand !== keyboard) assert.ok(clicks <= 30, `${clicks} clicks`);
  else assert.ok(keys <= 60, `${keys} keystrokes`);
  await page.close();
}

export const cases: Test[] = DEMOS.flatMap((name) => [
  { name: `from an empty sheet to papers by mouse: ${name}`, run: (on: Desk) => sheetToPapers(on, name, mouse) },
  { name: `from an empty sheet to papers by keyboard only: ${name}`, run: (on: Desk) => sheetToPapers(on, name, keyboard) },
]).concat([
  { name: "from an empty sheet to papers by taps alone on a tablet: bridge-45-47", run: (on: Desk) => sheetToPapers(on, "bridge-45-47", finger) },
  {
    name: "the first ranking stands after the third answer",
    async run(on) {
      const page = await open(on, "/");
      await page.click(".action.main");
      await page.click('[data-tooth="36"]');
      for (let i = 0; i < 3; i++) {
        await page.waitForSelector(".answers button");
        const row = await page.locator(".question").getAttribute("data-row");
        await page.keyboard.press("1");
        await page.waitForFunction((before) => document.querySelector<HTMLElement>(".question")?.dataset["row"] !== before, row);
      }
      await page.waitForSelector(".ways", { timeout: 30_000 });
      assert.ok((await page.locator(".way").count()) >= 2);
      assert.deepEqual(wrong(page), []);
    },
  },
]);
