// Builds page/dist: one document, one style sheet, one script and chunks that load when asked, the letters, and a manifest that
// says from which sources all of it was made, so that a stale build is found without building.

import { createHash } from "node:crypto";
import { mkdirSync, readFileSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import { basename, join } from "node:path";
import { brotliCompressSync, constants, gzipSync } from "node:zlib";
import { fileURLToPath } from "node:url";
import * as esbuild from "esbuild";
import { mapKnots, palette, paletteCss } from "./palette.mjs";
import { sourcesHash } from "./sources.mjs";

const page = fileURLToPath(new URL("../", import.meta.url));
const dist = join(page, "dist");
const TYPES = { html: "text/html; charset=utf-8", css: "text/css; charset=utf-8", js: "text/javascript; charset=utf-8", woff2: "font/woff2", svg: "image/svg+xml", json: "application/json" };

rmSync(dist, { recursive: true, force: true });
mkdirSync(join(dist, "assets"), { recursive: true });

const sheet = { name: "palette", setup(build) {
  build.onResolve({ filter: /^bisque:palette\.css$/ }, () => ({ path: "palette.css", namespace: "palette" }));
  build.onResolve({ filter: /^bisque:inks$/ }, () => ({ path: "inks", namespace: "inks" }));
  build.onLoad({ filter: /.*/, namespace: "inks" }, () => ({ contents: `export const INKS = ${JSON.stringify(palette().Light)};`, loader: "js" }));
  build.onResolve({ filter: /^bisque:map$/ }, () => ({ path: "map", namespace: "map" }));
  build.onLoad({ filter: /.*/, namespace: "map" }, () => ({ contents: `export const KNOTS = ${JSON.stringify(mapKnots())};`, loader: "js" }));
  build.onLoad({ filter: /.*/, namespace: "palette" }, () => ({ contents: paletteCss(), loader: "css" }));
} };

const built = await esbuild.build({
  entryPoints: { page: join(page, "src/main.tsx"), style: join(page, "src/style/index.css") },
  bundle: true,
  splitting: true,
  format: "esm",
  target: ["es2022", "chrome110", "firefox115", "safari16.4"],
  minify: true,
  legalComments: "linked",
  outdir: join(dist, "assets"),
  entryNames: "[name]-[hash]",
  chunkNames: "[name]-[hash]",
  assetNames: "[name]-[hash]",
  loader: { ".woff2": "file" },
  jsx: "automatic",
  jsxImportSource: "preact",
  metafile: true,
  logLevel: "warning",
  absWorkingDir: page,
  plugins: [sheet],
});

const entry = (name) =>
  basename(Object.keys(built.metafile.outputs).find((o) => basename(o).startsWith(`${name}-`) && built.metafile.outputs[o].entryPoint));
const font = readdirSync(join(dist, "assets")).find((f) => f.includes("latin-wght-normal") && f.endsWith(".woff2"));
const document = readFileSync(join(page, "src/index.html"), "utf8")
  .replace("{{style}}", `assets/${entry("style")}`)
  .replace("{{script}}", `assets/${entry("page")}`)
  .replace("{{font}}", `assets/${font}`);
writeFileSync(join(dist, "index.html"), document);

const files = {};
for (const name of ["index.html", ...readdirSync(join(dist, "assets")).sort().map((f) => `assets/${f}`)]) {
  if (name.endsWith(".br") || name.endsWith(".gz")) continue;
  const bytes = readFileSync(join(dist, name));
  const type = TYPES[name.split(".").pop()] ?? "text/plain; charset=utf-8";
  const entry = { sha256: createHash("sha256").update(bytes).digest("hex"), bytes: bytes.length, type };
  if (!name.endsWith(".woff2")) {
    const br = brotliCompressSync(bytes, { params: { [constants.BROTLI_PARAM_QUALITY]: 11 } });
    writeFileSync(join(dist, `${name}.br`), br);
    writeFileSync(join(dist, `${name}.gz`), gzipSync(bytes, { level: 9 }));
    entry.br_bytes = br.length;
  }
  files[name] = entry;
}
writeFileSync(join(dist, "manifest.json"), `${JSON.stringify({ sources: sourcesHash(), files }, null, 1)}\n`);

const weigh = (keep) => Object.entries(files).filter(([n]) => keep(n)).reduce((sum, [, f]) => sum + (f.br_bytes ?? f.bytes), 0);
const lazy = (name) => /scene-/.test(name);
console.log(`page/dist: ${(weigh((n) => !lazy(n)) / 1000).toFixed(0)} kB compressed without the three-dimensional part, ${(weigh(lazy) / 1000).toFixed(0)} kB with it`);
