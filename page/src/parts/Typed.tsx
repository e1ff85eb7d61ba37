// A box to type in that keeps what is being typed while the sheet is redrawn around it; a value from elsewhere shows once nothing is.

import { useLayoutEffect, useRef } from "preact/hooks";

interface Props {
  /** What stands in it while nobody types. */
  text: string;
  /** Called once with what was typed, when it is left or Enter is pressed. */
  take: (typed: string) => void;
  label?: string;
  name?: string;
  hint?: string | undefined;
  number?: boolean;
  short?: boolean;
  bounds?: [number | undefined, number | undefined];
}

export function Typed({ text, take, label, name, hint, number = false, short = false, bounds = [undefined, undefined] }: Props) {
  const box = useRef<HTMLInputElement>(null);
  const typing = useRef(false);
  useLayoutEffect(() => {
    if (box.current && !typing.current && box.current.value !== text) box.current.value = text;
  });
  const done = () => {
    if (!typing.current) return;
    typing.current = false;
    take(box.current?.value ?? "");
  };
  const typed = () => { typing.current = true; };
  const entered = (e: KeyboardEvent) => { if (e.key === "Enter" && box.current) onward(box.current, done); };
  const cls = short ? "short" : "";
  return number
    ? <input ref={box} type="number" inputMode="decimal" step="any" min={bounds[0]} max={bounds[1]} class={cls} name={name} aria-label={label} placeholder={hint} onInput={typed} onChange={done} onKeyDown={entered} />
    : <input ref={box} type="text" autocomplete="off" spellcheck={false} class={cls} name={name} aria-label={label} placeholder={hint} onInput={typed} onChange={done} onKeyDown={entered} />;
}

/** Enter takes the number and goes to the next field, at the stump over all teeth; after the last, on to the next question. */
function onward(box: HTMLInputElement, take: () => void): void {
  take();
  const all = [...(box.closest(".fields, #stump")?.querySelectorAll<HTMLElement>("input, button[tabindex='0']") ?? [])];
  const next = all[all.indexOf(box) + 1];
  if (next) next.focus();
  else if (box.closest(".question")) box.closest(".question")?.querySelector<HTMLButtonElement>(".go-on")?.click();
}
