// Keys of the whole page: digits answer the question, `u` undoes, letters jump to the parts of the sheet. Never while typing.

import { answerByKey } from "../sheet/Question";
import { redo, sheet, undo } from "./desk";
import { go, route } from "./route";

/** Every key with what it does, for the list that `?` shows. */
export const KEYS: readonly [string, string][] = [
  ["1 to 9", "answer the question"],
  ["u, Ctrl+Z", "undo"],
  ["Ctrl+Shift+Z", "redo"],
  ["a", "to the arch"],
  ["t", "to the table"],
  ["q", "to the question"],
  ["p", "to the papers, and back"],
  ["Esc", "back to the top"],
];

const typing = (target: EventTarget | null) =>
  target instanceof HTMLElement && (target.matches("input,textarea,select") || target.isContentEditable);

function toPart(selector: string): void {
  const part = document.querySelector<HTMLElement>(selector);
  part?.scrollIntoView({ block: "start" });
  part?.querySelector<HTMLElement>("[tabindex='0'],button,input")?.focus({ preventScroll: true });
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
    else if (key === "p" && sheet.value) go(route.value.room === "papers" ? "sheet" : "papers", sheet.value.id);
    else if (key === "n" && route.value.room === "home") document.querySelector<HTMLElement>(".action.main")?.click();
    else if (route.value.room !== "sheet") return;
    else if (/^[1-9]$/.test(key)) {
      if (!answerByKey(Number(key))) return;
    } else if (key === "u") void undo();
    else if (key === "a") toPart("#arch");
    else if (key === "t") toPart("#table");
    else if (key === "q") toPart(".question");
    else if (event.key === "Escape") scrollTo({ top: 0 });
    else return;
    event.preventDefault();
  });
}
