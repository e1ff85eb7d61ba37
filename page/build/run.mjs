// Bundles the tests (`test`: without a browser; `e2e`: in one) into out/ and runs them; ends with the line `test result: ...` that
// xtask counts.

import { spawn } from "node:child_process";
import { mkdirSync, readdirSync, rmSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import * as esbuild from "esbuild";
import { mapKnots } from "./palette.mjs";

const page = fileURLToPath(new URL("../", import.meta.url));
const [which = "test", ...more] = process.argv.slice(2);
const out = join(page, "out", which);
rmSync(out, { recursive: true, force: true });
mkdirSync(out, { recursive: true });
const entries = which === "e2e" ? [join(page, "e2e/run.ts")] : readdirSync(join(page, which)).filter((f) => f.endsWith(".test.ts")).map((f) => join(page, which, f));
await esbuild.build({
  entryPoints: entries,
  bundle: true,
  platform: "node",
  format: "esm",
  target: "node18",
  outdir: out,
  outExtension: { ".js": ".mjs" },
  jsx: "automatic",
  jsxImportSource: "preact",
  external: ["playwright-core", "axe-core", "preact", "@preact/signals"],
  logLevel: "warning",
  define: { PAGE_FOLDER: JSON.stringify(page) },
  plugins: [{ name: "map", setup(build) {
    // The build's own modules find their files by their own place: they stay where they are.
    build.onResolve({ filter: /\/build\/\w+\.mjs$/ }, (found) => ({ path: join(found.resolveDir, found.path), external: true }));
    build.onResolve({ filter: /^bisque:map$/ }, () => ({ path: "map", namespace: "map" }));
    build.onLoad({ filter: /.*/, namespace: "map" }, () => ({ contents: `export const KNOTS = ${JSON.stringify(mapKnots())};` }));
  } }],
});

if (which === "e2e") {
  const child = spawn(process.execPath, [join(out, "run.mjs"), ...more], { stdio: "inherit", cwd: page });
  child.on("exit", (code) => process.exit(code ?? 1));
} else {
  const files = readdirSync(out).filter((f) => f.endsWith(".mjs")).map((f) => join(out, f));
  const child = spawn(process.execPath, ["--test", "--test-reporter=tap", ...files], { cwd: page });
  let text = "";
  child.stdout.on("data", (data) => (text += data));
  child.stderr.on("data", (data) => process.stderr.write(data));
  child.on("exit", (code) => {
    const count = (word) => Number(new RegExp(`^# ${word} (\\d+)`, "m").exec(text)?.[1] ?? 0);
    if (code !== 0) process.stdout.write(text);
    console.log(`test result: ${code === 0 ? "ok" : "FAILED"}. ${count("pass")} passed; ${count("fail")} failed`);
    process.exit(code ?? 1);
  });
}
