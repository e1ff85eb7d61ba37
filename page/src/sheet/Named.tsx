// The name the case is kept under: a code, never the patient's name.

import { Typed } from "../parts/Typed";
import { read } from "../state/case";
import { set, shown } from "../state/desk";

export function Named() {
  const name = read(shown.value, "pseudonym");
  return (
    <label class="kept-as no-print">
      <span class="quiet">kept as </span>
      <Typed hint="a code of yours" text={typeof name === "string" ? name : ""} take={(typed) => set([{ field: "pseudonym", value: typed.trim() || null }])} />
    </label>
  );
}
