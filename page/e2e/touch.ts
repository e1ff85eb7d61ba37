// A tablet in the hand: the section is dragged by a finger, and the page does not scroll away under it.

import assert from "node:assert/strict";
import { open, wrong } from "./desk";
import { sheetOf } from "./rooms";
import type { Test } from "./run";

export const touch: Test[] = [
  {
    name: "a finger drags on the section, and the answers follow",
    async run(on) {
      const id = await sheetOf(on, "bridge-45-47");
      const page = await open(on, `/#/sheet/${id}`, { width: 820, height: 1180, touch: true });
      await page.waitForSelector(".six tbody tr", { timeout: 30_000 });
      await page.locator(".six tbody th button").first().tap();
      const handle = page.locator(".cut [role=slider]").first();
      await handle.waitFor({ timeout: 20_000 });
      await handle.scrollIntoViewIfNeeded();
      const value = async () => Number(await handle.getAttribute("aria-valuenow"));
      const [before, box] = [await value(), await handle.boundingBox()];
      // A browser that takes a touch for scrolling cancels the pointer.
      await page.evaluate(() => addEventListener("pointercancel", () => document.body.setAttribute("data-taken", "true")));
      assert.ok(box);
      const [least, most] = [Number(await handle.getAttribute("aria-valuemin")), Number(await handle.getAttribute("aria-valuemax"))];
      const across = await handle.evaluate((g) => g.classList.contains("across"));
      const answered = page.waitForResponse((r) => r.url().endsWith("/try"));
      const finger = await page.context().newCDPSession(page);
      const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
      const at = (type: string, by: number) => finger.send("Input.dispatchTouchEvent", { type: type as "touchMove", touchPoints: type === "touchEnd" ? [] : [{ x: x + (across ? by : 0), y: y + (across ? 0 : by) }] });
      await at("touchStart", 0);
      // One way; where that is the end of its room, the other.
      for (const by of [8, 16, 24, 32]) await at("touchMove", by);
      if ((await value()) === before) for (const by of [-8, -16, -24, -32]) await at("touchMove", by);
      await at("touchEnd", 0);
      await answered;
      const now = await value();
      assert.notEqual(now, before, `between ${least} and ${most}`);
      assert.ok(now >= least && now <= most);
      assert.equal(await page.locator("body[data-taken]").count(), 0, "the page was scrolled instead");
      await page.locator("figure .plain li", { hasText: /planned/ }).first().waitFor({ timeout: 20_000 });
      assert.deepEqual(wrong(page), []);
    },
  },
];
