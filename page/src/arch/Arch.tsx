// Both jaws drawn in ink; a restoration is drawn on them by choosing abutments and gaps. A crown is an outline, a pontic hollow, a
// connector a bar. One tooth is in the order of the keyboard; arrows move along the jaw and across, Enter or Space turns it from left
// alone to taken to missing.

import { useRef } from "preact/hooks";
import { computed, useSignal } from "@preact/signals";
import type { ToothWords } from "../api/types";
import { AddFile } from "../drop/Drop";
import { arch as archOf, withArch } from "../state/case";
import { change, report, shown } from "../state/desk";
import { drawing, number, numbering, teeth, words } from "../state/words";
import { following, put, state, type State } from "./choose";
import { bar, fissures, order, outline, places, smooth, type Place, type Spot } from "./geometry";

const SAYS: Record<State, string> = { off: "left alone", standing: "taken", missing: "missing" };

/** The construct that is drawn: the plan's first. */
const first = computed(() => drawing(report.value?.options[0]?.construct));

/** How a tooth is drawn: as the plan says where it says, else as chosen. */
function look(code: number, now: State): string {
  if (now === "missing") return first.value?.drawn_gap ?? "gap";
  if (now === "off") return "";
  const role = report.value?.arch.units.find((u) => u.tooth === code)?.role;
  if (role === undefined && report.value) return "";
  const form = first.value?.drawn_tooth ?? "crown";
  return form === "none" ? "" : form;
}

/** Both jaws with the paths of their teeth, computed once. */
const drawnJaws = computed(() =>
  (["upper", "lower"] as const).map((jaw) => {
    const flip = jaw === "upper" ? -1 : 1;
    return places([...teeth.value.values()].filter((t) => t.jaw === jaw)).map((place): Drawn => ({
      place,
      body: smooth(outline(place), flip),
      ring: smooth(outline(place, 1.1), flip),
      lines: fissures(place).map((line) => line.map(([x, y]) => `${x.toFixed(2)},${(flip * y).toFixed(2)}`).join(" ")),
    }));
  }),
);

interface Drawn {
  place: Place;
  body: string;
  ring: string;
  lines: string[];
}

export function Arch() {
  const all = [...teeth.value.values()];
  const jaws = drawnJaws.value;
  const now = archOf(shown.value);
  const at = useSignal<number | null>(null);
  const holder = useRef<HTMLDivElement>(null);
  const digits = useRef(0);
  if (all.length === 0) return null;
  const entry = at.value ?? now.missing[0] ?? now.teeth[0] ?? 16;

  const jawOf = (code: number) => all.filter((t) => t.jaw === teeth.value.get(code)?.jaw).map((t) => t.code);
  const press = (code: number, to?: State) => {
    at.value = code;
    change((before) => {
      const was = archOf(before);
      const { teeth: taken, missing } = put(was, code, to ?? following(state(was, code)), jawOf(code));
      return withArch(before, taken, missing);
    });
  };
  const move = (code: number) => {
    at.value = code;
    holder.current?.querySelector<SVGGElement>(`[data-tooth="${code}"]`)?.focus();
  };
  /** Two digits go to a tooth (ISO 3950). */
  const typed = (digit: number) => {
    const two = digits.current * 10 + digit;
    digits.current = teeth.value.has(two) ? 0 : digit;
    if (teeth.value.has(two)) move(two);
  };
  const keys = (event: KeyboardEvent, code: number) => {
    const row = jawOf(code).sort((a, b) => order(a) - order(b));
    const i = row.indexOf(code);
    const other = code < 30 ? code + (code < 20 ? 30 : 10) : code - (code > 40 ? 30 : 10);
    const to = { ArrowRight: row[i + 1], ArrowLeft: row[i - 1], ArrowUp: code >= 30 ? other : undefined, ArrowDown: code < 30 ? other : undefined, Home: row[0], End: row.at(-1) }[event.key];
    if (/^[1-8]$/.test(event.key)) typed(Number(event.key));
    else if (to !== undefined) move(to);
    else if (event.key === "Enter" || event.key === " ") press(code);
    else if (event.key === "m") press(code, state(now, code) === "missing" ? "standing" : "missing");
    else if (event.key === "Delete" || event.key === "Backspace") press(code, "off");
    else return;
    event.preventDefault();
    event.stopPropagation();
  };

  return (
    <div>
      <div class="arch-tools">
        <span class="quiet">Press a tooth to take it, again for missing, again to let it go.</span>
        {words.value && words.value.numberings.length > 1 && (
          <label>
            <span class="quiet">numbered </span>
            <select value={numbering.value} onChange={(e) => (numbering.value = e.currentTarget.value)}>
              {words.value.numberings.map((n) => <option value={n.value}>{n.label}</option>)}
            </select>
          </label>
        )}
        <AddFile />
      </div>
      <div class="arches" ref={holder} role="group" aria-label="Teeth. Arrows or two digits move, Enter takes a tooth, again: missing, again: let go.">
        {jaws.map((row, j) => <Jaw row={row} upper={j === 0} entry={entry} now={now} press={press} keys={keys} />)}
      </div>
    </div>
  );
}

interface JawProps {
  row: Drawn[];
  upper: boolean;
  entry: number;
  now: { teeth: number[]; missing: number[] };
  press: (code: number) => void;
  keys: (event: KeyboardEvent, code: number) => void;
}

function Jaw({ row, upper, entry, now, press, keys }: JawProps) {
  const flip = upper ? -1 : 1;
  const spots = row.flatMap((d) => outline(d.place, 5));
  const [left, right] = [Math.min(...spots.map((s) => s[0])), Math.max(...spots.map((s) => s[0]))];
  const ys = spots.map((s) => flip * s[1]);
  const [top, bottom] = [Math.min(...ys), Math.max(...ys)];
  const show = ([x, y]: Spot): Spot => [x, flip * y];
  const joined = row.slice(1).flatMap(({ place: b }, i) => {
    const a = (row[i] as Drawn).place;
    const pair = [a.tooth.code, b.tooth.code];
    return pair.every((c) => now.teeth.includes(c)) && joins(pair, now) ? [bar(a, b)] : [];
  });
  return (
    <svg viewBox={`${left} ${top} ${right - left} ${bottom - top}`} role="group" aria-label={upper ? "Upper jaw" : "Lower jaw"}>
      {row.map(({ place, body, ring, lines }) => {
        const code = place.tooth.code;
        const at = state(now, code);
        const [x, y] = show([place.middle[0] + place.out[0] * (place.tooth.bl_mm / 2 + 2.5), place.middle[1] + place.out[1] * (place.tooth.bl_mm / 2 + 2.5)]);
        return (
          <g
            class={`tooth ${look(code, at)} ${at === "off" ? "" : "on"}`}
            data-tooth={code}
            role="button"
            tabindex={code === entry ? 0 : -1}
            aria-pressed={at === "off" ? "false" : "true"}
            aria-label={`${number(code)}, ${place.tooth.name}, ${SAYS[at]}`}
            onMouseDown={(e) => e.preventDefault()}
            onClick={() => press(code)}
            onKeyDown={(e) => keys(e, code)}
          >
            <path class="body" d={body} />
            {lines.map((points) => <polyline class="fissure" points={points} />)}
            <path class="ring" d={ring} />
            <text class="number" x={x} y={y}>{number(code)}</text>
          </g>
        );
      })}
      {joined.map(([a, b]) => <line class="bar" x1={a[0]} y1={flip * a[1]} x2={b[0]} y2={flip * b[1]} />)}
      <text class="side" x={left + 1} y={upper ? bottom - 1 : top + 3} aria-hidden="true">patient's right</text>
      <text class="side" x={right - 1} y={upper ? bottom - 1 : top + 3} text-anchor="end" aria-hidden="true">left</text>
    </svg>
  );
}

/** Two neighbours are joined where one of them is a pontic. */
function joins(pair: number[], now: { missing: number[] }): boolean {
  if (first.value && !first.value.joined) return false;
  return pair.some((c) => now.missing.includes(c));
}

/** A tooth in words, for sentences. */
export function said(tooth: ToothWords): string {
  return `${number(tooth.code)} (${tooth.name})`;
}
