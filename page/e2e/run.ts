// Runs the tests in a browser one after the other: `node build/run.mjs e2e --program=PATH [--only=WORDS|WORDS] [--show=FOLDER]`. Needs Debian's
// chromium. Ends with `test result: ...`.

import { existsSync, mkdirSync } from "node:fs";
import { chromium, type Page } from "playwright-core";
import { clear, desk, type Desk } from "./desk";
import { access } from "./access";
import { away } from "./away";
import { cases } from "./cases";
import { first } from "./first";
import { evidence } from "./evidence";
import { files } from "./files";
import { kept } from "./kept";
import { measured } from "./measured";
import { pictures } from "./pictures";
import { register } from "./register";
import { rooms } from "./rooms";
import { show } from "./show";
import { secure } from "./secure";
import { space } from "./space";
import { stump } from "./stump";
import { touch } from "./touch";

export interface Test {
  name: string;
  run(on: Desk): Promise<void>;
}

const argument = (name: string) => process.argv.find((a) => a.startsWith(`--${name}=`))?.slice(name.length + 3);
const program = argument("program") ?? process.env["BISQUE"] ?? "";
const only = argument("only");

/** There is no network at all: no name is found but this machine. Everything below runs so. */
const ALONE = "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1";

/** What a page showed when its test failed. */
async function seen(page: Page): Promise<string> {
  const words = () => ["h1", "[role=status]", "[role=alert]", ".question"].map((s) => [...document.querySelectorAll(s)].map((e) => e.textContent?.slice(0, 300)).join("; ")).join(" | ");
  return page.evaluate(words).catch((error: Error) => error.message);
}

if (!existsSync(program)) {
  console.log(`there is no program at \`${program}\`: build it first (cargo build), then --program=PATH`);
  process.exit(1);
}
if (show) mkdirSync(show, { recursive: true });

const browser = await chromium.launch({ executablePath: ["/usr/bin/chromium", "/usr/bin/chromium-browser"].find(existsSync), args: ["--no-sandbox", ALONE] });
let [passed, failed] = [0, 0];
const began = Date.now();
for (const test of [...measured, ...cases, ...stump, ...first, ...kept, ...away, ...touch, ...rooms, ...register, ...evidence, ...space, ...files, ...secure, ...access, ...pictures(show)]) {
  if (only && !only.split("|").some((words) => test.name.includes(words))) continue;
  const from = Date.now();
  const on = await desk(browser, program);
  const late = new Promise<never>((_, reject) => setTimeout(() => reject(new Error("took longer than 180 s")), 180_000).unref());
  try {
    await Promise.race([test.run(on), late]);
    passed += 1;
    console.log(`test ${test.name} ... ok (${((Date.now() - from) / 1000).toFixed(1)} s)`);
  } catch (error) {
    failed += 1;
    console.log(`test ${test.name} ... FAILED\n${error instanceof Error ? error.stack : String(error)}`);
    for (const page of browser.contexts().flatMap((c) => c.pages())) console.log(`  stood there: ${await seen(page)}`);
  } finally {
    for (const context of browser.contexts()) await context.close();
    await clear(on);
  }
}
await browser.close();
console.log(`test result: ${failed === 0 ? "ok" : "FAILED"}. ${passed} passed; ${failed} failed; finished in ${((Date.now() - began) / 1000).toFixed(0)} s`);
process.exit(failed === 0 ? 0 : 1);
