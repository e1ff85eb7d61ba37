// The wish and the prediction side by side under a light the reader switches, over the stump that lies beneath.

import { useSignal } from "@preact/signals";
import type { Option } from "../api/types";
import { ask } from "../api/client";
import { Touching } from "./Touching";
import { said, screen, type Lab } from "./colour";
import { words } from "../state/words";
import { interval, share } from "../why/numbers";

interface Seen {
  light: string;
  rgb: string[];
}

const lab = (of: readonly number[] | null | undefined): Lab | null => (of ? [of[0] ?? 0, of[1] ?? 0, of[2] ?? 0] : null);

export function Lights({ option }: { option: Option }) {
  return <>{option.colour.map((c) => <One colour={c} key={c.tooth} />)}</>;
}

function One({ colour }: { colour: Option["colour"][number] }) {
  const light = useSignal("D65");
  const seen = useSignal<Seen | null>(null);
  const lights = words.value?.lights ?? [{ value: "D65", label: "daylight" }];
  const [wish, predicted, stump] = [lab(colour.wish_lab), lab(colour.predicted_lab), lab(colour.substrate_lab)];
  const turn = (to: string) => {
    light.value = to;
    const labs = [wish, predicted, stump].filter((l): l is Lab => l !== null);
    ask<Seen>(`/colour/swatches?light=${to}&lab=${labs.map((l) => l.map((v) => v.toFixed(2)).join(",")).join(";")}`)
      .then((got) => { if (light.value === to) seen.value = got; })
      .catch(() => (seen.value = null));
  };
  const under = colour.detail?.lights.find((l) => l.light === light.value);
  const rgb = seen.value?.light === light.value ? seen.value.rgb : null;
  return (
    <div>
      {rgb && light.value !== "D65" ? <Flat rgb={rgb} /> : <Touching colour={colour} width={260} height={92} />}
      {stump && (
        <svg viewBox="0 0 260 16" width="260" height="16" role="img" aria-label={`beneath: ${colour.substrate}, ${said(stump)}`}>
          <rect width="260" height="16" fill={rgb?.[2] ?? screen(stump).css} />
        </svg>
      )}
      <p class="small">left the wish ({colour.wish}), right the prediction, below {colour.substrate}</p>
      {lights.length > 1 && (
        <p class="small">
          <label><span class="quiet">seen under </span><select value={light.value} onChange={(e) => turn(e.currentTarget.value)}>{lights.map((l) => <option value={l.value}>{l.label}</option>)}</select></label>
        </p>
      )}
      <p class="small">
        {colour.tooth}: {predicted ? said(predicted) : ""}; differs by {interval(under?.difference ?? colour.difference, "colour_difference")};
        seen by {share(colour.seen)} of 100, remade for it {share(under?.remade ?? colour.remade)} of 100.
        {colour.masking ? ` ${colour.masking}.` : ""} <span class="quiet">Screens differ; the numbers count.</span>
      </p>
    </div>
  );
}

function Flat({ rgb }: { rgb: string[] }) {
  return (
    <svg viewBox="0 0 260 92" width="260" height="92" role="img" aria-label="wish and prediction under the chosen light" shape-rendering="crispEdges">
      <rect width="130" height="92" fill={rgb[0]} />
      <rect x="130" width="130" height="92" fill={rgb[1]} />
    </svg>
  );
}
