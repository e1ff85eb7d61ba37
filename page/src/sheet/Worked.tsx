// A short worked example, beside an invented case until it is put away: five things to try, each done on the sheet itself.

import { signal } from "@preact/signals";
import { read } from "../state/case";
import { shown } from "../state/desk";

const KEY = "bisque-worked";
const away = signal(localStorage.getItem(KEY) === "away");

const TRY: readonly (readonly [string, string])[] = [
  ["Read the sentence at the top.", "It is the whole answer; the three columns say what stands behind it, line by line."],
  ["Press a dotted phrase.", "Every number tells how it was found, from what, and how far its sources go."],
  ["Move a wish up or down, here beside.", "The ranking follows; u takes it back."],
  ["Press the name of a way in the table.", "It opens: failures over the years, the colour under another light, the section to drag on."],
  ["Answer the question at the foot.", "By number key. It is always the one that could change the choice most."],
];

export function Worked() {
  if (away.value || read(shown.value, "invented") !== true) return null;
  const put = () => {
    localStorage.setItem(KEY, "away");
    away.value = true;
  };
  return (
    <section class="worked no-print" aria-labelledby="worked">
      <h2 id="worked">To try on this invented case</h2>
      <ol>
        {TRY.map(([what, why]) => <li>{what} <span class="quiet">{why}</span></li>)}
      </ol>
      <button type="button" class="press" onClick={put}>Put this away</button>
    </section>
  );
}
