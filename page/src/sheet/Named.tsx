// The name the case is kept under: a code, never the patient's name.

import { read } from "../state/case";
import { set, shown } from "../state/desk";

export function Named() {
  const name = read(shown.value, "pseudonym");
  return (
    <label class="kept-as no-print">
      <span class="quiet">kept as </span>
      <input type="text" autocomplete="off" spellcheck={false} placeholder="a code of yours" title="A code, never the patient's name" value={typeof name === "string" ? name : ""} onChange={(e) => set([{ field: "pseudonym", value: e.currentTarget.value.trim() || null }])} />
    </label>
  );
}
