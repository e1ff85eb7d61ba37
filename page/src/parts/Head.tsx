// The line at the head of every room: where one is, where one can go, undo and redo, the ground of the page.

import { redo, saved, sheet, undo } from "../state/desk";
import { listed } from "../state/keys";
import { address, route, type Room } from "../state/route";
import { scheme, turn } from "../state/scheme";

export function Head() {
  const { room, id } = route.value;
  const on = id ?? sheet.value?.id ?? null;
  const link = (to: Room, words: string, of?: string | null) => (
    <a href={address(to, of)} aria-current={room === to ? "page" : undefined}>{words}</a>
  );
  return (
    <header class="head">
      <a class="skip" href="#main" onClick={(e) => { e.preventDefault(); document.getElementById("main")?.focus(); }}>To the sheet</a>
      <a class="name" href={address("home")}>Bisque</a>
      <nav aria-label="Rooms">
        {link("home", "Sheets")}
        {on && link("sheet", sheet.value?.name || "This sheet", on)}
        {on && link("papers", "Papers", on)}
        {link("evidence", "Evidence")}
        {link("register", "Register")}
      </nav>
      <div class="tools">
        {room === "sheet" && sheet.value && (
          <>
            <span role="status">{saved.value}</span>
            <button type="button" disabled={!sheet.value.can_undo} onClick={undo} aria-keyshortcuts="u Control+Z">Undo</button>
            <button type="button" disabled={!sheet.value.can_redo} onClick={redo} aria-keyshortcuts="Control+Shift+Z">Redo</button>
          </>
        )}
        <button type="button" aria-keyshortcuts="?" aria-expanded={listed.value} aria-controls={listed.value ? "keys" : undefined} onClick={() => (listed.value = !listed.value)}>Keys</button>
        <button type="button" onClick={turn}>{scheme.value === "dark" ? "Light" : scheme.value === "light" ? "Dark" : matchMedia("(prefers-color-scheme: dark)").matches ? "Light" : "Dark"}</button>
      </div>
    </header>
  );
}
