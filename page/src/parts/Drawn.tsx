// A picture drawn by the program, set into the page so that it stands on the page's ground and in its letters.

import { INKS } from "bisque:inks";
import { useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { askText, Trouble } from "../api/client";

/** A drawing made for a light page, in the inks of the page's own ground: each ink of the palette by its role. */
function onGround(svg: string): string {
  const roles = new Map(Object.entries(INKS).map(([role, hex]) => [hex, role]));
  return svg
    .replace(/"(#[0-9a-f]{6})"/g, (whole, hex: string) => (roles.has(hex) ? `"var(--${roles.get(hex)})"` : whole))
    .replace(/ font-family="[^"]*"/, "")
    .replace(/id="picture-/g, `id="p${(turn += 1)}-picture-`)
    .replace(/aria-labelledby="[^"]*"/, "");
}
let turn = 0;

export function Drawn({ path, title }: { path: string; title: string }) {
  const svg = useSignal<string | null>(null);
  const why = useSignal<string | null>(null);
  useEffect(() => {
    let gone = false;
    askText(path)
      .then((text) => {
        if (!gone) [svg.value, why.value] = [onGround(text), null];
      })
      .catch((error) => {
        if (!gone) [svg.value, why.value] = [null, error instanceof Trouble ? error.issue.what : "It could not be drawn."];
      });
    return () => {
      gone = true;
    };
  }, [path]);
  return (
    <figure class="figure-holder">
      <figcaption><h3>{title}</h3></figcaption>
      {why.value && <p class="quiet">{why.value}</p>}
      {!svg.value && !why.value && <p class="quiet">Drawing.</p>}
      {/* The program's own drawing, from the same origin. */}
      {svg.value && <div dangerouslySetInnerHTML={{ __html: svg.value }} />}
    </figure>
  );
}
