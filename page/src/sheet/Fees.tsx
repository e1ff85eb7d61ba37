// The practice's own figures for one way of making it: fee a unit, an hour at the chair. Blank until given; never invented.

import type { Case, Option } from "../api/types";
import { Typed } from "../parts/Typed";
import { read } from "../state/case";
import { change, set, shown } from "../state/desk";

interface Makes {
  material: string;
  build: string;
  construct?: string;
  fee?: number;
}

/** The case with another fee for a material and build. */
export function withFee(of: Case, { material, build }: { material: string; build: string }, fee: number | null): Case {
  const laboratory = (of["laboratory"] ?? {}) as { makes?: Makes[] };
  const others = (laboratory.makes ?? []).filter((m) => !(m.material === material && m.build === build && m.construct === undefined));
  return { ...of, laboratory: { ...laboratory, makes: [...others, { material, build, ...(fee === null ? {} : { fee }) }] } };
}

export function Fees({ option }: { option: Option }) {
  const { material, build } = option;
  if (!material || !build) return null;
  const makes = read(shown.value, "laboratory.makes");
  const fee = Array.isArray(makes) ? (makes as Makes[]).find((m) => m.material === material && m.build === build)?.fee : undefined;
  const hour = read(shown.value, "laboratory.chair_hour");
  const given = (text: string) => (text.trim() === "" || !Number.isFinite(Number(text)) ? null : Number(text));
  return (
    <div class="fees no-print">
      <label><span class="quiet">fee a unit </span><Typed number bounds={[0, undefined]} text={fee === undefined ? "" : String(fee)} take={(typed) => change((now) => withFee(now, { material, build }, given(typed)))} /></label>
      <label><span class="quiet">an hour at the chair </span><Typed number bounds={[0, undefined]} text={typeof hour === "number" ? String(hour) : ""} take={(typed) => set([{ field: "laboratory.chair_hour", value: given(typed) }])} /></label>
    </div>
  );
}
