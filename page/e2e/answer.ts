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
  /** Presses a thing that is shown. */
  press(selector: string): Promise<void>;
  tooth(code: number, times: number): Promise<void>;
  answer(nth: number): Promise<void>;
  type(selector: string, text: string): Promise<void>;
  goto(room: "papers"): Promise<void>;
}

export function mouse(page: Page): Hand {
  const count: Count = { answers: 0, clicks: 0, keys: 0 };
  const click = async (selector: string) => {
    count.clicks += 1;
    await page.locator(selector).first().click();
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
    for (let i = 0; i < 80; i++) {
      if (await page.evaluate((s) => document.activeElement?.matches(s) ?? false, selector)) return;
      await key("Tab");
    }
    throw new Error(`the keyboard did not reach ${selector}`);
  };
  return {
    count,
    async press(selector) {
      await reach(selector);
      await key("Enter");
    },
    async tooth(code, times) {
      await key("a");
      for (let i = 0; i < 34 && (await focused()) !== code; i++) {
        const at = await focused();
        const [jaw, wanted] = [at < 30, code < 30];
        const place = (c: number) => { const [q, n] = [Math.floor(c / 10), c % 10]; return q === 1 || q === 4 ? 8 - n : 7 + n; };
        if (jaw !== wanted) await key(wanted ? "ArrowUp" : "ArrowDown");
        else if (place(code) === 0 || place(code) === 15) await key(place(code) === 0 ? "Home" : "End");
        else await key(place(code) > place(at) ? "ArrowRight" : "ArrowLeft");
      }
      for (let i = 0; i < times; i++) await key("Enter");
    },
    answer: (nth) => key(String(nth)),
    async type(selector, text) {
      await reach(selector);
      for (const letter of text) await key(letter);
      await key("Tab");
    },
    goto: () => key("p"),
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
  const fields = (row.fields ?? []).filter((f) => read(wanted, f.field, f.tooth) !== undefined);
  const fits = (row.answers ?? []).findIndex((a) =>
    fields.every((f) => a.set.some((s) => s.field === f.field && (s.tooth ?? null) === (f.tooth ?? null) && same(s.value, read(wanted, f.field, f.tooth)))
      || (!a.set.some((s) => s.field === f.field && (s.tooth ?? null) === (f.tooth ?? null)) && same(f.value, read(wanted, f.field, f.tooth)))));
  hand.count.answers += 1;
  if (fits >= 0 && fields.length > 0) await hand.answer(fits + 1);
  else await each(row, fields, wanted, hand);
  await settled(on, page, id, row.id);
}

/** Each field of the row alone. */
async function each(row: Row, fields: FieldAsked[], wanted: Case, hand: Hand): Promise<void> {
  if (fields.length === 0) {
    // The case says nothing of it: left for later.
    await hand.answer(1);
    return;
  }
  if ((row.answers ?? []).length > 0) await hand.press(".question .each");
  for (const f of fields) {
    const value = read(wanted, f.field, f.tooth);
    if (same(value, f.value)) continue;
    const at = `[data-field="${f.field}${f.tooth ? `.${f.tooth}` : ""}"]`;
    if (f.kind === "number" || typeof value === "number") await hand.type(`${at} input`, String(value));
    else if (f.kind === "colour") for (const name of ["L", "a", "b"]) await hand.type(`${at} input[name=${name}]`, String((value as Record<string, number>)[name]));
    else for (const one of Array.isArray(value) ? (value.length === 0 ? ["[]"] : value) : [value]) await hand.press(`${at} [data-value="${String(one)}"]`);
  }
  await hand.press(".question .go-on");
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
  }, row, { timeout: 15_000 });
}
