// The way to the view in three dimensions. The part that draws it loads when it is asked for. Everything seen is also said in words.

import { useSignal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import { ask, askBytes, Trouble } from "../api/client";
import type { Option } from "../api/types";
import { sheet } from "../state/desk";
import { begin, cancel, jobs } from "../state/jobs";
import { steps } from "./map";
import { extent, readMesh, type Mesh } from "./mesh";
import type { View } from "./scene";

interface Listed {
  what: string;
  tooth?: number | null;
  title: string;
}

export function Space({ option }: { option: Option }) {
  const list = useSignal<Listed[] | null>(null);
  const said = useSignal<string | null>(null);
  const open = () =>
    ask<Listed[]>(`/sheets/${sheet.value?.id}/meshes?option=${encodeURIComponent(option.id)}`)
      .then((got) => (list.value = got))
      .catch((error) => (said.value = error instanceof Trouble ? error.issue.what : "The forms are not there."));
  // A solve that has ended adds a form; a sheet that was changed may take one away.
  const solved = jobs.value.filter((j) => j.kind === "stress" && j.state === "done").length;
  useEffect(() => {
    if (list.value) void open();
  }, [solved, sheet.value?.revision]);
  if (!list.value) {
    return <p class="no-print"><button type="button" class="press" onClick={() => void open()}>See it in three dimensions</button> {said.value && <span class="quiet">{said.value}</span>}</p>;
  }
  return (
    <>
      {list.value.length > 0 ? <Room option={option} list={list.value} solved={solved} /> : <p class="quiet">No form is known for this way.</p>}
      <Stress option={option} made={list.value.some((l) => l.what === STRESS)} />
    </>
  );
}

/** The form whose map is stress; it is listed once it was solved. */
const STRESS = "stress";

/** Stress over the whole body: solved when it is asked for, with its progress and a way to stop it. The plan's figure comes first. */
function Stress({ option, made }: { option: Option; made: boolean }) {
  const mine = jobs.value.filter((j) => j.kind === "stress" && j.sheet === sheet.value?.id && j.option === option.id).at(-1);
  const under = mine && (mine.state === "running" || mine.state === "waiting") ? mine : null;
  if (under) {
    return (
      <p class="no-print stress" role="status">
        Solving the stress of this way.{" "}
        <progress max={1} value={under.progress} aria-label="Stress of this way">{Math.round(under.progress * 100)} of 100</progress>{" "}
        <button type="button" class="press" onClick={() => cancel(under.id)}>stop it</button>
      </p>
    );
  }
  const caution = mine?.state === "done" ? mine.result?.caution : null;
  return (
    <p class="no-print stress">
      <button type="button" class="press" onClick={() => void begin("stress", { option: option.id })}>{made ? "Compute stress anew" : "Compute stress"}</button>{" "}
      <span class="quiet">{caution ?? "By finite elements on this way's own form, a minute or so. The plan's figure comes first; this shows where stress gathers."}</span>
    </p>
  );
}

function Room({ option, list, solved }: { option: Option; list: Listed[]; solved: number }) {
  const chosen = useSignal(0);
  const mesh = useSignal<Mesh | null>(null);
  const trouble = useSignal<string | null>(null);
  const cut = useSignal(1);
  const distance = useSignal<number | null>(null);
  const canvas = useRef<HTMLCanvasElement>(null);
  const view = useRef<View | null>(null);
  const at = Math.min(chosen.value, list.length - 1);
  const now = list[at];
  const stress = list.findIndex((l) => l.what === STRESS);

  useEffect(() => {
    // What was just solved is what one wants to see.
    if (stress >= 0) chosen.value = stress;
  }, [stress, solved]);
  useEffect(() => {
    let gone = false;
    const query = new URLSearchParams({ option: option.id, ...(now?.tooth ? { tooth: String(now.tooth) } : {}) });
    Promise.all([import("./scene"), askBytes(`/sheets/${sheet.value?.id}/mesh/${now?.what}.bin?${query}`)])
      .then(([{ View }, bytes]) => {
        if (gone || !canvas.current) return;
        const read = readMesh(bytes);
        view.current ??= new View(canvas.current, (mm) => (distance.value = mm));
        [mesh.value, trouble.value] = [read, null];
        view.current.show(read);
        view.current.cut(cut.value);
      })
      .catch((error) => (trouble.value = error instanceof Trouble ? error.issue.what : `It could not be drawn here: ${(error as Error).message}`));
    return () => {
      gone = true;
    };
  }, [now?.what, now?.tooth, option.id, solved]);
  useEffect(() => () => view.current?.close(), []);

  const key = (event: KeyboardEvent) => {
    const v = view.current;
    const does: Record<string, () => void> = {
      ArrowLeft: () => v?.turn(-0.12, 0), ArrowRight: () => v?.turn(0.12, 0), ArrowUp: () => v?.turn(0, 0.12), ArrowDown: () => v?.turn(0, -0.12),
      "+": () => v?.near(0.88), "-": () => v?.near(1.14), "[": () => cutAt(cut.value - 0.04), "]": () => cutAt(cut.value + 0.04), m: () => v?.measure(), Escape: () => v?.forget(),
    };
    const doing = does[event.key];
    if (!doing) return;
    doing();
    event.preventDefault();
    event.stopPropagation();
  };
  const cutAt = (share: number) => {
    cut.value = Math.min(1, Math.max(0, share));
    view.current?.cut(cut.value);
  };
  const scalar = mesh.value?.header.scalar;
  return (
    <figure class="space">
      <figcaption><h3>In three dimensions</h3></figcaption>
      <div class="choices" role="group" aria-label="Which form">
        {list.map((l, i) => <button type="button" aria-pressed={i === at} onClick={() => (chosen.value = i)}>{l.title}</button>)}
      </div>
      <canvas ref={canvas} class="canvas" tabIndex={0} role="img" aria-label={`${mesh.value?.header.title ?? now?.title ?? ""}. Arrows turn it, plus and minus move, brackets cut, m marks the middle.`} onKeyDown={key} />
      {!mesh.value && !trouble.value && <p class="quiet">Making the form.</p>}
      {trouble.value && <p class="trouble">{trouble.value}</p>}
      <div class="space-tools">
        <label>cut at <input type="range" min="0" max="1" step="0.01" value={cut.value} onInput={(e) => cutAt(Number(e.currentTarget.value))} /></label>
        <span>{distance.value !== null ? `${distance.value.toFixed(2)} mm between the two places` : "double-press two places to measure"}</span>
        {distance.value !== null && <button type="button" class="press" onClick={() => view.current?.forget()}>forget</button>}
      </div>
      {scalar && <Legend low={scalar.low} high={scalar.high} name={scalar.name} unit={scalar.unit} />}
      {mesh.value && <Twin mesh={mesh.value} />}
    </figure>
  );
}

function Legend({ low, high, name, unit }: { low: number; high: number; name: string; unit: string }) {
  const all = steps(low, high);
  return (
    <div class="legend" role="img" aria-label={`${name} from ${low.toPrecision(3)} to ${high.toPrecision(3)} ${unit} in ${all.length} steps`}>
      <span>{name}, {unit}</span>
      <span class="steps">{all.map((s) => <span><i style={`background:${s.css}`} />{s.from.toPrecision(2)}</span>)}<span>{high.toPrecision(2)}</span></span>
    </div>
  );
}

/** What is to be seen, in words and numbers. */
function Twin({ mesh }: { mesh: Mesh }) {
  const [x, y, z] = extent(mesh.places).map(([a, b]) => b - a);
  const s = mesh.header.scalar;
  return <p class="small quiet">{mesh.header.text} {[x, y, z].map((v) => v?.toFixed(1)).join(" × ")} mm; {mesh.header.triangles} triangles.{s ? ` ${s.name} from ${s.low.toPrecision(3)} to ${s.high.toPrecision(3)} ${s.unit}; the ring marks where it is greatest.` : ""}</p>;
}
