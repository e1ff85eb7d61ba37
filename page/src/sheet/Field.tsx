// One field of the case, asked by its kind: words to press, a number with its unit, a list to tick, an order to build.

import type { ComponentChildren } from "preact";
import { useRef } from "preact/hooks";
import { Typed } from "../parts/Typed";
import type { FieldAsked } from "../api/types";
import { read } from "../state/case";
import { set, shown, stay } from "../state/desk";
import { number } from "../state/words";

/** `alone`: the field stands on the sheet itself, not in the question, and does not hold the question fast. */
export function Field({ asked, alone = false, proposed }: { asked: FieldAsked; alone?: boolean; proposed?: unknown }) {
  const value = read(shown.value, asked.field, asked.tooth);
  const give = (to: unknown) => {
    if (!alone) stay();
    set([{ field: asked.field, tooth: asked.tooth, value: to }]);
  };
  const title = asked.tooth ? `${number(asked.tooth)}: ${asked.words}` : asked.words;
  const props = { asked, value, give, proposed: value === undefined ? proposed : undefined };
  const numeric = asked.kind === "number";
  const body =
    asked.kind === "choice" ? <Choice {...props} />
    : asked.kind === "yes_no" ? <Choice {...props} asked={{ ...asked, choices: [{ value: true, label: "yes" }, { value: false, label: "no" }] }} />
    : asked.kind === "many" ? <Many {...props} />
    : asked.kind === "order" ? <Order {...props} />
    : numeric ? <Numeric {...props} title={title} />
    : asked.kind === "text" || asked.kind === "texts" ? <Text {...props} title={title} />
    : asked.kind === "colour" ? <Colour {...props} />
    : <p class="quiet">Chosen on the arch.</p>;
  return (
    <fieldset data-field={`${asked.field}${asked.tooth ? `.${asked.tooth}` : ""}`}>
      <legend>{title}</legend>
      {body}
      {asked.kind === "choice" && asked.min != null && <Numeric {...props} title={title} />}
      {value === undefined && asked.default_words && <p class="help">until answered: {asked.default_words}</p>}
    </fieldset>
  );
}

interface Props {
  asked: FieldAsked;
  value: unknown;
  give: (value: unknown) => void;
  /** The usual answer, shown until it is taken or another is given. */
  proposed?: unknown;
}

const same = (a: unknown, b: unknown) => JSON.stringify(a) === JSON.stringify(b);

/** One stop of the Tab key; arrows move within it, digits press the nth. */
function Pressed({ children }: { children: ComponentChildren }) {
  const keys = (event: KeyboardEvent) => {
    const all = [...(event.currentTarget as HTMLElement).querySelectorAll<HTMLButtonElement>("button")];
    const at = all.indexOf(document.activeElement as HTMLButtonElement);
    const by = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[event.key];
    if (by !== undefined) all[(at + by + all.length) % all.length]?.focus();
    else if (/^[1-9]$/.test(event.key) && !event.ctrlKey && !event.metaKey) {
      const nth = all[Number(event.key) - 1];
      nth?.click();
      nth?.focus();
    } else return;
    event.preventDefault();
    event.stopPropagation();
  };
  return <div class="choices" onKeyDown={keys}>{children}</div>;
}

function Choice({ asked, value, give, proposed }: Props) {
  const all = asked.choices ?? [];
  const entry = Math.max(0, all.findIndex((c) => same(value ?? proposed, c.value)));
  return (
    <Pressed>
      {all.map((c, i) => (
        <button type="button" tabIndex={i === entry ? 0 : -1} data-value={String(c.value)} class={same(proposed, c.value) ? "proposed" : ""} aria-pressed={same(value, c.value)} onClick={() => give(same(value, c.value) ? null : c.value)}>{c.label}</button>
      ))}
    </Pressed>
  );
}

function Many({ asked, value, give, proposed }: Props) {
  const now = Array.isArray(value) ? value : null;
  return (
    <Pressed>
      {(asked.choices ?? []).map((c, i) => {
        const on = now?.includes(c.value) ?? false;
        return <button type="button" tabIndex={i === 0 ? 0 : -1} data-value={String(c.value)} aria-pressed={on} onClick={() => give(on ? now?.filter((v) => v !== c.value) : [...(now ?? []), c.value])}>{c.label}</button>;
      })}
      <button type="button" tabIndex={-1} data-value="[]" class={Array.isArray(proposed) && proposed.length === 0 ? "proposed" : ""} aria-pressed={now?.length === 0} onClick={() => give([])}>none</button>
    </Pressed>
  );
}

/** The order after one more press: what is in it goes out, what is not comes last; the only one left over comes by itself. */
export function ordered(all: readonly unknown[], now: readonly unknown[], pressed: unknown): unknown[] {
  const next = now.includes(pressed) ? now.filter((v) => v !== pressed) : [...now, pressed];
  return next.length === all.length - 1 && next.length > now.length ? [...next, ...all.filter((v) => !next.includes(v))] : next;
}

/** Pressed in the order of importance; pressed again, taken out. */
function Order({ asked, value, give }: Props) {
  const now = Array.isArray(value) ? value : [];
  const all = (asked.choices ?? []).map((c) => c.value);
  return (
    <Pressed>
      {(asked.choices ?? []).map((c, i) => {
        const place = now.indexOf(c.value);
        return (
          <button type="button" tabIndex={i === 0 ? 0 : -1} data-value={String(c.value)} aria-pressed={place >= 0} onClick={() => give(ordered(all, now, c.value))}>
            {place >= 0 ? `${place + 1}. ` : ""}{c.label}
          </button>
        );
      })}
    </Pressed>
  );
}

export function Numeric({ asked, value, give, title, proposed }: Props & { title: string }) {
  const { min: least, max: most } = asked;
  const take = (typed: string) => {
    const text = typed.trim().replace(",", ".");
    const to = text === "" ? null : Number(text);
    if (to === null || Number.isFinite(to)) {
      if (!same(to, value ?? null)) give(to);
    }
  };
  return (
    <span class="with-unit">
      <Typed text={typeof value === "number" ? String(value) : ""} take={take} number label={title} hint={proposed === undefined || proposed === null ? undefined : String(proposed)} bounds={[least ?? undefined, most ?? undefined]} />
      {asked.unit && <span class="quiet">{asked.unit}</span>}
      {least != null && most != null && <span class="quiet small">{least} to {most}</span>}
    </span>
  );
}

/** A reading in CIELAB; it is a reading once all three are there. */
function Colour({ asked, value, give }: Props) {
  const parts = useRef<Record<string, number>>({});
  const now = { ...((value as Record<string, number> | undefined) ?? {}), ...parts.current };
  const take = (name: string, typed: string) => {
    if (typed === "") return;
    // Not from `now`: it was read when this was drawn, and another part may have been typed since.
    parts.current = { ...((value as Record<string, number> | undefined) ?? {}), ...parts.current, [name]: Number(typed) };
    if (["L", "a", "b"].every((n) => Number.isFinite(parts.current[n]))) give({ ...((value as object | undefined) ?? {}), ...parts.current });
  };
  return (
    <span class="with-unit">
      {["L", "a", "b"].map((name) => (
        <label><span class="quiet">{name}*</span> <Typed text={now[name] === undefined ? "" : String(now[name])} take={(typed) => take(name, typed)} number short name={name} label={`${asked.words} ${name}*`} /></label>
      ))}
    </span>
  );
}

function Text({ asked, value, give, title }: Props & { title: string }) {
  const list = Array.isArray(value) ? value.join(", ") : value;
  const take = (typed: string) => give(!typed ? null : asked.kind === "texts" ? typed.split(",").map((t) => t.trim()).filter(Boolean) : typed);
  return <Typed text={typeof list === "string" ? list : ""} take={take} label={title} name={asked.field} />;
}
