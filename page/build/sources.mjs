// One hash over everything page/dist is made from. `--check` compares it with the manifest of the committed build; xtask does
// the same sum in Rust, so that a stale page is told without node.

import { createHash } from "node:crypto";
import { existsSync, readFileSync, readdirSync } from "node:fs";
import { join, relative, sep } from "node:path";
import { fileURLToPath } from "node:url";

const page = fileURLToPath(new URL("../", import.meta.url));

/** Files in order of their names: all of src and build, what fixes the versions, and the inks. */
export function sourceFiles() {
  const under = (folder) =>
    readdirSync(join(page, folder), { withFileTypes: true, recursive: true })
      .filter((e) => e.isFile())
      .map((e) => relative(page, join(e.parentPath ?? e.path, e.name)).split(sep).join("/"));
  return [...under("src"), ...under("build"), "package.json", "package-lock.json", "tsconfig.json", "../ground/picture/src/palette.rs", "../ground/picture/src/raster/map.rs"].sort();
}

/** SHA-256 over `name LF length LF bytes` of every file. */
export function sourcesHash() {
  const hash = createHash("sha256");
  for (const name of sourceFiles()) {
    const bytes = readFileSync(join(page, name));
    hash.update(`${name}\n${bytes.length}\n`);
    hash.update(bytes);
  }
  return hash.digest("hex");
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  const manifest = join(page, "dist/manifest.json");
  const built = existsSync(manifest) ? JSON.parse(readFileSync(manifest, "utf8")).sources : "absent";
  if (built !== sourcesHash()) {
    console.error("page/dist is stale: run `cargo xtask page`");
    process.exit(1);
  }
}
