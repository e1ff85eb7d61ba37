// Pictures of every view at three widths on both grounds, to be looked at: `--show=FOLDER`.

import { join } from "node:path";
import { api, open } from "./desk";
import { sheetOf } from "./rooms";
import type { Test } from "./run";

const SIZES: [string, number, number][] = [["laptop", 1280, 800], ["tablet", 820, 1180], ["narrow", 390, 844]];

export function pictures(folder: string | undefined): Test[] {
  if (!folder) return [];
  return SIZES.flatMap(([size, width, height]) =>
    [false, true].map((dark) => ({
      name: `pictures at ${width}, ${dark ? "dark" : "light"}`,
      async run(on) {
        const bridge = await sheetOf(on, "bridge-45-47");
        await api(on, "/register/init", "POST", {});
        const views: [string, string, string, string?][] = [
          ["home", "/", ".lines li"],
          ["sheet", `/#/sheet/${bridge}`, ".six tbody tr"],
          ["opened", `/#/sheet/${bridge}`, ".six tbody tr", ".six tbody th button"],
          ["papers", `/#/sheet/${bridge}/papers`, "iframe.paper"],
          ["evidence", "/#/evidence", ".map .spot"],
          ["register", "/#/register", "#due"],
        ];
        for (const [name, address, ready, press] of views) {
          const page = await open(on, address, { width, height, dark });
          await page.waitForSelector(ready, { timeout: 30_000 });
          if (press) await page.locator(press).first().click();
          await page.waitForTimeout(900);
          await page.screenshot({ path: join(folder, `${name}-${size}-${dark ? "dark" : "light"}.png`), fullPage: true });
          await page.close();
        }
      },
    } satisfies Test)),
  );
}
