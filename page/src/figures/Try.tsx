// A flat cross-section to scale, on which thickness, taper and connector are dragged; the answers follow. With the keyboard: arrows by
// one step, Page Up and Down by five, Home back to where the plan has it.

import { useSignal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import { ask, Trouble } from "../api/client";
import type { Option } from "../api/types";
import { sheet } from "../state/desk";
import { label } from "../state/words";
import { answer } from "../sheet/pick";
import { FanOf } from "./Fan";
import { Outlines } from "./Outlines";
import { box, dragged, onScreen, onStep, type Handle, type Section, type Tried } from "./section";

type Values = Record<string, number>;

export function Try({ option }: { option: Option }) {
  const section = useSignal<Section | null>(null);
  const values = useSignal<Values>({});
  const tried = useSignal<Tried | null>(null);
  const missing = useSignal<string | null>(null);
  const asking = useRef({ busy: false, again: false, left: new AbortController() });
  const id = sheet.value?.id;

  useEffect(() => {
    asking.current = { busy: false, again: false, left: new AbortController() };
    ask<Section>(`/sheets/${id}/section/${encodeURIComponent(option.id)}`)
      .then((got) => {
        section.value = onScreen(got);
        values.value = Object.fromEntries(got.handles.map((h) => [h.id, h.value]));
      })
      .catch((error) => (missing.value = error instanceof Trouble ? error.issue.what : "The section was not drawn."));
    // The row is closed: what was asked is no longer waited for.
    return () => asking.current.left.abort();
  }, [id, option.id]);

  /** One question on its way, the newest values asked next: nothing piles up, and the answers follow while the hand still moves. (Giving up the
   *  older question at every move would leave a moving hand without any answer, and the program working for nobody.) */
  const follow = async () => {
    const now = asking.current;
    now.again = now.busy;
    if (now.busy) return;
    now.busy = true;
    try {
      const body = { option: option.id, tooth: section.value?.tooth, values: values.value };
      const got = await ask<Tried>(`/sheets/${id}/try`, { method: "POST", body, signal: now.left.signal });
      [tried.value, missing.value] = [got, null];
      if (got.section && !now.again) section.value = { ...onScreen(got.section), handles: section.value?.handles ?? [] };
    } catch (error) {
      if (now.left.signal.aborted) return;
      missing.value = error instanceof Trouble ? error.issue.what : "The answer did not come.";
    }
    now.busy = false;
    if (now.again) void follow();
  };
  const put = (handle: Handle, to: number) => {
    const value = onStep(handle, to);
    if (values.value[handle.id] === value) return;
    values.value = { ...values.value, [handle.id]: value };
    void follow();
  };

  if (missing.value && !section.value) return <p class="small quiet">{missing.value}</p>;
  if (!section.value) return <p class="small quiet">Drawing the section.</p>;
  return (
    <div>
      <Drawing section={section.value} values={values.value} put={put} />
      <p class="small quiet">{section.value.words}</p>
      <ul class="plain small">
        {section.value.handles.map((h) => <li>{h.words}: <strong>{values.value[h.id]} {h.unit}</strong>{values.value[h.id] !== h.value && <span class="quiet"> (planned {h.value})</span>}</li>)}
      </ul>
      {missing.value && <p class="small trouble">{missing.value}</p>}
      {tried.value && <Follows option={option} tried={tried.value} />}
    </div>
  );
}

interface DrawingProps {
  section: Section;
  values: Values;
  put: (handle: Handle, to: number) => void;
}

function Drawing({ section, values, put }: DrawingProps) {
  const svg = useRef<SVGSVGElement>(null);
  const hold = useRef<{ handle: Handle; from: number; x: number; y: number } | null>(null);
  const { left, top, width, height } = box(section);
  const scale = () => (svg.current ? width / svg.current.getBoundingClientRect().width : 1);
  const down = (event: PointerEvent, handle: Handle) => {
    const grip = event.currentTarget as SVGGElement;
    grip.setPointerCapture(event.pointerId);
    grip.focus({ preventScroll: true });
    hold.current = { handle, from: values[handle.id] ?? handle.value, x: event.clientX, y: event.clientY };
  };
  // The browser scrolls by a finger on a part of a drawing, whatever its style says: `onTouchStart` below tells it not to.
  const move = (event: PointerEvent) => {
    const held = hold.current;
    if (held) put(held.handle, dragged(held.handle, held.from, [(event.clientX - held.x) * scale(), (event.clientY - held.y) * scale()]));
  };
  const key = (event: KeyboardEvent, handle: Handle) => {
    const now = values[handle.id] ?? handle.value;
    const by = { ArrowUp: 1, ArrowRight: 1, ArrowDown: -1, ArrowLeft: -1, PageUp: 5, PageDown: -5 }[event.key];
    if (by !== undefined) put(handle, now + by * handle.step);
    else if (event.key === "Home") put(handle, handle.value);
    else return;
    event.preventDefault();
    event.stopPropagation();
  };
  return (
    <svg ref={svg} class="cut" viewBox={`${left} ${top} ${width} ${height}`} role="group" aria-label={`${section.words ?? "Section"}; with what may be dragged`}>
      <Outlines of={section} stroke={0.09} />
      {section.handles.map((handle) => {
        const { min: least, max: most } = handle;
        const value = values[handle.id] ?? handle.value;
        const [x, y] = [handle.at[0] + handle.along[0] * (value - handle.value), handle.at[1] + handle.along[1] * (value - handle.value)];
        return (
          <g
            class={`drag ${Math.abs(handle.along[0]) > Math.abs(handle.along[1]) ? "across" : ""}`}
            role="slider"
            tabindex={0}
            aria-label={handle.words}
            aria-valuenow={value}
            aria-valuemin={least}
            aria-valuemax={most}
            aria-valuetext={`${value} ${handle.unit}`}
            onTouchStart={(e) => e.preventDefault()}
            onPointerDown={(e) => down(e, handle)}
            onPointerMove={move}
            onPointerUp={() => (hold.current = null)}
            onPointerCancel={() => (hold.current = null)}
            onKeyDown={(e) => key(e, handle)}
          >
            <circle cx={x} cy={y} r="1.1" fill="transparent" stroke="none" style="fill:transparent;stroke:none" />
            <circle cx={x} cy={y} r="0.42" stroke-width="0.16" style="stroke-width:.16" />
          </g>
        );
      })}
    </svg>
  );
}

/** What follows, each beside what the plan had. */
function Follows({ option, tried }: { option: Option; tried: Tried }) {
  return (
    <div aria-live="polite">
      <ul class="plain small">
        {tried.questions.map((q) => {
          const before = answer(option, q.question)?.words;
          return <li><span class="quiet">{label("questions", q.question)}</span> {q.words}{before && before !== q.words && <span class="quiet"> (planned: {before})</span>}</li>;
        })}
      </ul>
      {tried.curve && <FanOf curve={tried.curve} title="Lost over the years, as dragged" />}
    </div>
  );
}
