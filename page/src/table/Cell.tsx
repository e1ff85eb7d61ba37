// One cell: the interval as a line, its middle as a tick, the verdict by the line's form, and the number in words beneath.

import type { Answer } from "../api/types";
import type { Scale } from "./scales";
import { digits, share } from "../why/numbers";

const WIDTH = 110;

/** How a verdict is said and how its tick is drawn: place and shape say it, no colour. */
const VERDICTS: Record<string, string> = { suits: "suits", with_care: "with care", unsuitable: "unsuitable", not_known: "not known" };

const short = (v: number) => share(v).replace("fewer than ", "<");

export function Cell({ answer, scale, accent }: { answer: Answer | undefined; scale: Scale | undefined; accent: boolean }) {
  if (!answer) return <span class="note">not asked</span>;
  const verdict = VERDICTS[answer.verdict] ?? answer.verdict;
  if (!answer.value || !scale) return <><span class="note">{verdict}</span></>;
  const { low, median, high, mean } = answer.value;
  const x = (v: number) => 2 + (Math.min(Math.max(v / scale.end, 0), 1)) * (WIDTH - 4);
  const n = digits(high - low);
  const number = scale.percent ? `${short(mean)} (${short(low)}–${short(high)})` : `${median.toFixed(n)} (${low.toFixed(n)}–${high.toFixed(n)})`;
  const ink = accent ? "accent" : "text";
  return (
    <>
      <svg viewBox={`0 0 ${WIDTH} 15`} aria-hidden="true">
        <line x1="2" x2={WIDTH - 2} y1="7.5" y2="7.5" class="line-hair" stroke-width="1" />
        <line x1={x(low)} x2={x(high)} y1="7.5" y2="7.5" class={`line-${accent ? "accent" : "mark"}`} stroke-width="2.5" stroke-dasharray={answer.verdict === "not_known" ? "2 2" : undefined} />
        {high > scale.end && <path d={`M${WIDTH - 5} 3.5l4 4-4 4`} fill="none" class={`line-${accent ? "accent" : "mark"}`} stroke-width="1.5" />}
        {answer.verdict === "unsuitable"
          ? <path d={`M${x(median) - 3.5} 4l7 7m0-7l-7 7`} class={`line-${ink}`} stroke-width="2" />
          : answer.verdict === "with_care"
            ? <circle cx={x(median)} cy="7.5" r="3.4" class={`fill-ground line-${ink}`} stroke-width="1.8" />
            : <circle cx={x(median)} cy="7.5" r="3.8" class={`fill-${ink}`} />}
      </svg>
      {number}
      <span class="note">{verdict}</span>
    </>
  );
}
