// The one palette of papers, terminal and page, taken from the table in ground/picture/src/palette.rs and written as custom
// properties. The build fails when a role of `Ink` has no colour on one of the two grounds.

import { readFileSync } from "node:fs";

const SOURCE = new URL("../../ground/picture/src/palette.rs", import.meta.url);

export function palette() {
  const text = readFileSync(SOURCE, "utf8");
  const names = Object.fromEntries([...text.matchAll(/Self::(\w+) => "([a-z-]+)"/g)].map((m) => [m[1], m[2]]));
  const inks = { Light: {}, Dark: {} };
  for (const [, theme, ink, r, g, b] of text.matchAll(
    /\(Theme::(Light|Dark), Self::(\w+)\) => Rgb\(0x(\w\w), 0x(\w\w), 0x(\w\w)\)/g,
  )) inks[theme][names[ink]] = `#${r}${g}${b}`;
  for (const theme of ["Light", "Dark"]) {
    const missing = Object.values(names).filter((n) => !(n in inks[theme]));
    if (missing.length > 0) throw new Error(`palette.rs: no ${theme} colour read for ${missing.join(", ")}`);
  }
  return inks;
}

function rules(inks, prefix) {
  const variables = Object.entries(inks).map(([name, hex]) => `--${name}:${hex}`).join(";");
  return `${prefix}{${variables}}`;
}

/** Style rules: light by default and in print, dark on a dark screen, either where the reader has chosen it. */
export function paletteCss() {
  const { Light, Dark } = palette();
  const fills = Object.keys(Light)
    .map((name) => `.fill-${name}{fill:var(--${name})}.line-${name}{stroke:var(--${name})}`)
    .join("\n");
  return [
    rules(Light, ":root"),
    `@media screen and (prefers-color-scheme: dark){${rules(Dark, ":root:not([data-scheme=light])")}}`,
    `@media screen{${rules(Dark, ":root[data-scheme=dark]")}}`,
    fills,
  ].join("\n");
}

/** Knots in CIELAB of the map that runs from little to much, taken from ground/picture/src/raster/map.rs. */
export function mapKnots() {
  const text = readFileSync(new URL("../../ground/picture/src/raster/map.rs", import.meta.url), "utf8");
  const found = /const ONE_WAY: \[Lab; 5\] =\s*\[([\s\S]*?)\];/.exec(text);
  const numbers = found?.[1].match(/-?[\d.]+/g)?.map(Number) ?? [];
  if (numbers.length !== 15) throw new Error("map.rs: the knots of ONE_WAY were not read");
  return [0, 1, 2, 3, 4].map((i) => numbers.slice(3 * i, 3 * i + 3));
}
