// What lies in a section, drawn to scale: what is made, what is cut, what stays. Form, place and word tell it, no colour alone.

import type { Section } from "./section";

const INK: Record<string, string> = { core: "fill-accent-mid", outer: "fill-accent-faint", veneer: "fill-accent-faint", restoration: "fill-accent-mid", cement: "fill-mark", stump: "fill-soft", dentine: "fill-soft", pulp: "fill-ground", connector: "fill-accent-mid" };

/** Outlines of a section as it is on the screen; `stroke` in mm. */
export function Outlines({ of, stroke }: { of: Section; stroke: number }) {
  return (
    <>
      {of.outlines.map((o) => (
        <path d={`M${o.points.map((p) => p.join(" ")).join("L")}${o.closed === false ? "" : "Z"}`} class={`${o.closed === false ? "" : (INK[o.what] ?? "fill-soft")} line-text`} fill={o.closed === false ? "none" : undefined} stroke-width={stroke}>
          <title>{o.words ?? o.what}</title>
        </path>
      ))}
    </>
  );
}
