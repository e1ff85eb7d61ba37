// What a tooth loses, small and to scale: the program's own section of the way, as it is dragged when the way is opened. Until it is there,
// and where there is none, a sign drawn from the depths stands for it.

import { useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { ask } from "../api/client";
import type { Preparation } from "../api/types";
import { sheet } from "../state/desk";
import { number } from "../state/words";
import { CutPicture } from "./Cut";
import { Outlines } from "./Outlines";
import { box, onScreen, type Section } from "./section";

/** Sections already drawn, by sheet, revision, way and tooth: a redrawn column asks nothing. */
const known = new Map<string, Promise<Section>>();
const KEPT = 60;

function sectionOf(key: string, path: string): Promise<Section> {
  const had = known.get(key);
  if (had) return had;
  const asked = ask<Section>(path).then(onScreen);
  known.set(key, asked);
  asked.catch(() => known.delete(key));
  for (const old of known.keys()) if (known.size > KEPT) known.delete(old);
  return asked;
}

/** Pixels a millimetre. */
const SCALE = 5.5;

export function Small({ option, preparation }: { option: string; preparation: Preparation }) {
  const section = useSignal<Section | "none" | null>(null);
  const on = sheet.value;
  const { tooth } = preparation;
  const key = `${on?.id} ${on?.revision} ${option} ${tooth}`;
  useEffect(() => {
    let gone = false;
    sectionOf(key, `/sheets/${on?.id}/section/${encodeURIComponent(option)}?tooth=${tooth}`)
      .then((got) => { if (!gone) section.value = got; })
      .catch(() => { if (!gone) section.value = "none"; });
    return () => { gone = true; };
  }, [key]);
  const now = section.value;
  if (!now || now === "none") return <CutPicture preparation={preparation} />;
  const { left, top, width, height } = box({ ...now, handles: [] }, 0.4);
  return (
    <svg class="small-section" viewBox={`${left} ${top} ${width} ${height}`} width={width * SCALE} height={height * SCALE} role="img" aria-label={`${number(tooth)}, ${now.words ?? ""}: ${Math.round(preparation.share_removed.mean * 100)} of 100 parts of the crown are cut`}>
      <Outlines of={now} stroke={0.16} />
    </svg>
  );
}
