// Filling a sheet as a dentist would: what a demo case says is given by pressing what stands on the page, and counted.

import type { Page } from "playwright-core";
import type { Case, FieldAsked, Next, Row } from "../src/api/types";
import { arch, read } from "../src/state/case";
import { api, type Desk } from "./desk";

export interface Count {
  answers: number;
  clicks: number;
  keys: number;
}

const same = (a: unknown, b: unknown) => JSON.stringify(a ?? null) === JSON.stringify(b ?? null);

/** How a hand gives things: by mouse, or by keyboard only. */
export interface Hand {
  count: Count;
  openEach(): Promise<void>;
  choose(field: string, value: string): Promise<void>;
  /** A number of one's own beside the usual answers. */
  number(text: string): Promise<void>;
  inOrder(wishes: string[], of: string[]): Promise<void>;
  goOn(after: "number" | "words"): Promise<void>;
  print(): Promise<void>;
  /** Presses a thing that is shown. */
  press(selector: string): Promise<void>;
  tooth(code: number, times: number): Promise<void>;
  answer(nth: number): Promise<void>;
  type(selector: string, text: string): Promise<void>;
  goto(room: "papers"): Promise<void>;
}

export const mouse = (page: Page): Hand => pointed(page, "click");
/** By a finger: every press is a tap. */
export const finger = (page: Page): Hand => pointed(page, "tap");

function pointed(page: Page, how: "click" | "tap"): Hand {
  const count: Count = { answers: 0, clicks: 0, keys: 0 };
  const click = async (selector: string) => {
    count.clicks += 1;
    await page.locator(selector).first()[how]();
  };
  return {
    count,
    press: click,
    async tooth(code, times) {
      for (let i = 0; i < times; i++) await click(`[data-tooth="${code}"]`);
    },
    answer: (nth) => click(`.answers button:nth-child(${nth})`),
    async type(selector, text) {
      await click(selector);
      await page.locator(selector).first().fill(text);
      await page.locator(selector).first().blur();
    },
    async openEach() {
      if ((await page.locator(".question .fields").count()) === 0) await click(".question .each");
    },
    choose: (field, value) => click(`${field} [data-value="${value}"]`),
    async number(text) {
      await click(".question .inline input");
      await page.locator(".question .inline input").fill(text);
      await page.keyboard.press("Enter");
    },
    async inOrder(wishes) {
      for (const wish of wishes.slice(0, -1)) await click(`.answers [data-value="${wish}"]`);
    },
    goOn: () => click(".question .go-on"),
    print: () => click(".tray .action.main"),
    goto: () => click(".head nav a:text-is('Papers')"),
  };
}

export function keyboard(page: Page): Hand {
  const count: Count = { answers: 0, clicks: 0, keys: 0 };
  const key = async (name: string) => {
    count.keys += 1;
    await page.keyboard.press(name);
  };
  const focused = () => page.evaluate(() => Number((document.activeElement as HTMLElement | null)?.dataset["tooth"] ?? 0));
  /** Tabs until the thing has the focus; every Tab is a keystroke. */
  const reach = async (selector: string) => {
    const way: string[] = [];
    for (let i = 0; i < 40; i++) {
      if (await page.evaluate((s) => document.activeElement?.matches(s) ?? false, selector)) return;
      way.push(await page.evaluate(() => document.activeElement?.closest("[data-field]")?.getAttribute("data-field") ?? document.activeElement?.outerHTML.slice(0, 60) ?? ""));
      await key("Tab");
    }
    throw new Error(`the keyboard did not reach ${selector}: ${way.slice(0, 12).join(" > ")}`);
  };
  /** Digits belong to what has the focus; Escape gives them back to the question. */
  const leave = async () => {
    if (await page.evaluate(() => document.activeElement?.closest("[data-tooth], .choices, input") != null)) await key("Escape");
  };
  return {
    count,
    async press(selector) {
      await reach(selector);
      await key("Enter");
    },
    async tooth(code, times) {
      if ((await focused()) === 0) await key("a");
      if ((await focused()) !== code) for (const digit of String(code)) await key(digit);
      for (let i = 0; i < times; i++) await key("Enter");
    },
    async answer(nth) {
      await leave();
      await key(String(nth));
    },
    async openEach() {
      await leave();
      await key("e");
      await page.waitForFunction(() => document.activeElement?.closest(".question .fields"));
    },
    async choose(field, value) {
      await reach(`${field} button`);
      const nth = await page.locator(`${field} button`).evaluateAll((all, v) => all.findIndex((b) => (b as HTMLElement).dataset["value"] === v) + 1, value);
      await key(String(nth));
    },
    async type(selector, text) {
      await reach(selector);
      for (const letter of text) await key(letter);
      await key("Enter");
    },
    async number(text) {
      await leave();
      await key("e");
      for (const letter of text) await key(letter);
      await key("Enter");
    },
    async inOrder(wishes, of) {
      await leave();
      for (const wish of wishes.slice(0, -1)) await key(String(of.indexOf(wish) + 1));
    },
    async goOn(after) {
      void after;
      if (await page.evaluate(() => document.activeElement?.matches("input") ?? false)) await key("Escape");
      await key("g");
    },
    async print() {
      await page.waitForFunction(() => document.activeElement?.matches(".tray .action.main"));
      await key("Enter");
    },
    async goto() {
      await leave();
      await key("p");
    },
  };
}

/** Fills the rows of the sheet as the case says; rows of which it says nothing are left. */
export async function fill(on: Desk, page: Page, id: string, wanted: Case, hand: Hand): Promise<void> {
  const { teeth, missing } = arch(wanted);
  await drawn(page, hand, teeth, missing);
  await settled(on, page, id);
  for (let turn = 0; turn < 40; turn++) {
    const row = await rowShown(on, page, id);
    if (!row) return;
    await answerRow(on, page, id, row, wanted, hand);
  }
  throw new Error("the questions did not come to an end");
}

/** The restoration drawn on the arch: gaps bring their neighbours along, other teeth are taken one by one. */
async function drawn(page: Page, hand: Hand, teeth: number[], missing: number[]): Promise<void> {
  for (const gap of missing) await hand.tooth(gap, 2);
  for (const tooth of teeth.filter((t) => !missing.includes(t))) {
    const pressed = await page.locator(`[data-tooth="${tooth}"]`).getAttribute("aria-pressed");
    if (pressed !== "true") await hand.tooth(tooth, 1);
  }
  // On an implant the page lets the neighbours go by itself, once that is answered.
  if (teeth.every((t) => missing.includes(t))) return;
  // A neighbour that came along with a gap and does not belong is let go.
  for (const code of await page.locator('[data-tooth][aria-pressed="true"]').evaluateAll((all) => all.map((e) => Number((e as SVGElement).dataset["tooth"])))) {
    if (!teeth.includes(code)) await hand.tooth(code, 2);
  }
}

async function rowShown(on: Desk, page: Page, id: string): Promise<Row | null> {
  const name = await page.locator(".question").getAttribute("data-row");
  if (!name) return null;
  const next = await api<Next>(on, `/sheets/${id}/next?order=sheet&row=${encodeURIComponent(name)}`);
  return next.row;
}

async function answerRow(on: Desk, page: Page, id: string, row: Row, wanted: Case, hand: Hand): Promise<void> {
  // Teeth are drawn on the arch.
  const fields = (row.fields ?? []).filter((f) => !/^restoration\.(teeth|missing)$/.test(f.field) && read(wanted, f.field, f.tooth) !== undefined);
  const fits = (row.answers ?? []).findIndex((a) =>
    fields.every((f) => a.set.some((s) => s.field === f.field && (s.tooth ?? null) === (f.tooth ?? null) && same(s.value, read(wanted, f.field, f.tooth)))
      || (!a.set.some((s) => s.field === f.field && (s.tooth ?? null) === (f.tooth ?? null)) && same(f.value, read(wanted, f.field, f.tooth)))));
  hand.count.answers += 1;
  if (process.env["TELL"]) console.log(`row ${row.id} | ${fits >= 0 ? "one press" : "each alone"} | ${JSON.stringify(fields.map((f) => [f.field, f.tooth, read(wanted, f.field, f.tooth)]))} | ${(row.answers ?? []).map((a) => a.label).join(" / ")}`);
  const [only] = fields;
  if (fits >= 0 && fields.length > 0 && only?.kind !== "order") await hand.answer(fits + 1);
  else if (fields.length === 0) await hand.answer(1);
  else if (fields.length === 1 && only && only.kind === "order") await hand.inOrder(read(wanted, only.field) as string[], (only.choices ?? []).map((c) => c.value as string));
  else if ((row.fields ?? []).length === 1 && only && typeof read(wanted, only.field, only.tooth) === "number") await hand.number(String(read(wanted, only.field, only.tooth)));
  else await each(page, row, fields, wanted, hand);
  await settled(on, page, id, row.id);
}

/** Each field of the row alone; what the usual answer proposes is left as it is where it fits. */
async function each(page: Page, row: Row, fields: FieldAsked[], wanted: Case, hand: Hand): Promise<void> {
  await hand.openEach();
  const usual = row.answers?.[0]?.set ?? [];
  let last: "number" | "words" = "words";
  for (const f of fields) {
    const value = read(wanted, f.field, f.tooth);
    const proposed = usual.find((s) => s.field === f.field && (s.tooth ?? null) === (f.tooth ?? null))?.value;
    if (same(value, f.value) || (f.value == null && same(value, proposed))) continue;
    const at = `[data-field="${f.field}${f.tooth ? `.${f.tooth}` : ""}"]`;
    last = "words";
    if (typeof value === "number") {
      await hand.type(`${at} input`, String(value));
      last = "number";
    } else if (f.kind === "colour") {
      for (const name of ["L", "a", "b"]) await hand.type(`${at} input[name=${name}]`, String((value as Record<string, number>)[name]));
      last = "number";
    } else for (const one of Array.isArray(value) ? (value.length === 0 ? ["[]"] : value) : [value]) await hand.choose(at, String(one));
  }
  await page.waitForFunction(() => document.querySelector(".head [role=status]")?.textContent === "saved");
  if ((await page.locator(".question").getAttribute("data-row")) === row.id) await hand.goOn(last);
}

/** Waits until the answer is on disk and another row is shown. */
async function settled(on: Desk, page: Page, id: string, row?: string): Promise<void> {
  void on;
  void id;
  await page.waitForFunction((before) => {
    const question = document.querySelector<HTMLElement>(".question");
    const saved = document.querySelector(".head [role=status]")?.textContent === "saved";
    const asks = question && (question.dataset["row"] !== undefined || question.classList.contains("done"));
    return saved && asks && (before === undefined || question.dataset["row"] !== before);
  }, row, { timeout: 20_000 }).catch(async () => {
    const shown = await page.evaluate(() => ["[role=status]", ".question", "[role=alert]"].map((s) => document.querySelector(s)?.textContent).join(" | "));
    throw new Error(`after ${row ?? "the teeth"} no other question came: ${shown}`);
  });
}
