import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import test from "node:test";
// @ts-expect-error plain JavaScript of the build
import { palette } from "../build/palette.mjs";
// @ts-expect-error plain JavaScript of the build
import { sourcesHash } from "../build/sources.mjs";
// @ts-expect-error plain JavaScript of the build
import { generated } from "../build/types.mjs";

declare const PAGE_FOLDER: string;
const text = (name: string) => readFileSync(`${PAGE_FOLDER}${name}`, "utf8");

test("page/dist is made of today's sources", () => {
  assert.equal(JSON.parse(text("dist/manifest.json")).sources, sourcesHash());
});

test("types are made of today's schemas", async () => {
  for (const [name, now] of Object.entries(await generated())) assert.equal(text(name), now, `${name}: run \`npm run types\``);
});

test("the document holds no script or style of its own and asks nobody else", () => {
  const html = text("dist/index.html");
  assert.equal(/<style|style=|<script(?![^>]*src=)|\son\w+=/i.test(html.replace("<noscript>", "")), false);
  assert.equal(/https?:\/\//.test(html), false);
});

test("without the three-dimensional part the page weighs less than 600 kB compressed", () => {
  const files: Record<string, { bytes: number; br_bytes?: number }> = JSON.parse(text("dist/manifest.json")).files;
  const weight = Object.entries(files).filter(([n]) => !/scene-/.test(n)).reduce((sum, [, f]) => sum + (f.br_bytes ?? f.bytes), 0);
  assert.ok(weight < 600_000, String(weight));
  assert.ok(Object.keys(files).some((n) => /scene-/.test(n)), "the three-dimensional part is a chunk of its own");
});

test("the palette is the one of the papers, complete on both grounds", () => {
  const { Light, Dark } = palette();
  assert.deepEqual(Object.keys(Light), Object.keys(Dark));
  assert.ok(Object.keys(Light).length >= 10);
});

test("the page keeps no list of the trade: no material or construct is written in its sources", async () => {
  const { readdirSync } = await import("node:fs");
  const files = readdirSync(`${PAGE_FOLDER}src`, { recursive: true }).map(String).filter((f) => /\.tsx?$/.test(f) && !f.includes(".gen."));
  for (const f of files) assert.equal(/zirconia|lithium|leucite|feldspath|amalgam/i.test(text(`src/${f}`)), false, f);
});
