// Keys of the whole page: digits answer the question, `u` undoes, letters jump to the parts of the sheet. Never while typing.

import { signal } from "@preact/signals";
import { answerByKey, goOn, openFields } from "../sheet/Question";
import { redo, sheet, undo } from "./desk";
import { go, route } from "./route";

/** Whether the list of keys stands open. */
export const listed = signal(false);

/** Every key with what it does, for the list that `?` shows. */
export const KEYS: readonly [string, string][] = [
  ["1 to 9", "answer the question"],
  ["u, Ctrl+Z", "undo"],
  ["Ctrl+Shift+Z", "redo"],
  ["e", "each field of the question alone"],
  ["g", "go on: take what is proposed"],
  ["a", "to the arch"],
  ["t", "to the table"],
  ["q", "to the question"],
  ["p", "to the papers, and back"],
  ["n", "in the list of sheets: a new one"],
  ["arrows, Page keys", "on the arch and the section: move, change by one step or five"],
  ["Enter, m", "on the arch: take the tooth; missing"],
  ["arrows, + -, [ ], m", "in three dimensions: turn, move, cut, mark for measuring"],
  ["w, e", "in the register: seen and well; something happened"],
  ["?", "this list, and away with it"],
  ["Esc", "leave what has the focus; again: to the top"],
];

const typing = (target: EventTarget | null) =>
  target instanceof HTMLElement && (target.matches("input,textarea,select") || target.isContentEditable);

function toPart(selector: string): void {
  const part = document.querySelector<HTMLElement>(selector);
  part?.scrollIntoView({ block: "start" });
  const first = part?.querySelector<HTMLElement>("[data-tooth][tabindex='0']") ?? part?.querySelector<HTMLElement>("button,input,[tabindex='0']");
  first?.focus({ preventScroll: true });
}

export function listen(): void {
  addEventListener("keydown", (event) => {
    if (event.defaultPrevented || event.altKey) return;
    const command = event.ctrlKey || event.metaKey;
    const key = event.key.toLowerCase();
    if (typing(event.target)) {
      if (event.key === "Escape") (event.target as HTMLElement).blur();
      return;
    }
    if (command && key === "z") void (event.shiftKey ? redo() : undo());
    else if (command && key === "y") void redo();
    else if (command) return;
    else if (key === "?") listed.value = !listed.value;
    else if (key === "p" && sheet.value) go(route.value.room === "papers" ? "sheet" : "papers", sheet.value.id);
    else if (key === "n" && route.value.room === "home") document.querySelector<HTMLElement>(".action.main")?.click();
    else if (route.value.room !== "sheet") return;
    else if (/^[1-9]$/.test(key)) {
      if (!answerByKey(Number(key))) return;
    } else if (key === "u") void undo();
    else if (key === "a") toPart("#arch");
    else if (key === "t") toPart("#table");
    else if (key === "q") toPart(".question");
    else if (key === "e") openFields();
    else if (key === "g") goOn();
    else if (event.key === "Escape") {
      const at = document.activeElement;
      if (at instanceof HTMLElement || at instanceof SVGElement) at.blur();
      if (at === document.body) scrollTo({ top: 0 });
    }
    else return;
    event.preventDefault();
  });
}
