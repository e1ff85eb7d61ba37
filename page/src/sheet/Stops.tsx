// One line of stops: what the plan forbids and what it warns of, opened in place.

import { useSignal } from "@preact/signals";
import type { Option } from "../api/types";
import { report } from "../state/desk";
import { Override } from "./Override";
import { Sources } from "../why/Why";
import { sentence } from "../why/numbers";

export function Stops() {
  const open = useSignal(false);
  const plan = report.value;
  if (!plan) return null;
  const stopped = plan.options.filter((o) => o.stopped);
  const warned = plan.options.filter((o) => !o.stopped && o.stops.length > 0);
  const before = plan.gates.filter((g) => g.verdict !== "suits");
  const line = [
    stopped.length === 0 ? "Nothing is stopped" : `${stopped.length} of ${plan.options.length} ways are stopped`,
    warned.length > 0 ? `${warned.length} with a warning` : "",
    before.length > 0 ? before.map((g) => g.text).join("; ") : "",
  ].filter(Boolean).join(" · ");
  return (
    <div class="stops">
      <button type="button" class="ask" aria-expanded={open.value} onClick={() => (open.value = !open.value)}>{line}</button>
      {open.value && (
        <div class="why">
          {plan.gates.map((g) => <p><strong>{g.question}</strong> {sentence(g.text)}.</p>)}
          <StopList options={stopped} title="Stopped" aside />
          <StopList options={warned} title="With a warning" />
        </div>
      )}
    </div>
  );
}

/** The same stop is told once, with the ways it concerns. */
function StopList({ options, title, aside = false }: { options: Option[]; title: string; aside?: boolean }) {
  const byText = new Map<string, { titles: string[]; sources: string[]; id: string }>();
  for (const option of options) {
    for (const stop of option.stops) {
      const known = byText.get(stop.text) ?? { titles: [], sources: stop.sources, id: stop.id };
      known.titles.push(option.title);
      byText.set(stop.text, known);
    }
  }
  if (byText.size === 0) return null;
  return (
    <>
      <h3>{title}</h3>
      <ul>
        {[...byText].map(([text, { titles, sources, id }]) => (
          <li>
            {sentence(text)}. <span class="quiet">{titles.length > 3 ? `${titles.slice(0, 3).join("; ")} and ${titles.length - 3} more` : titles.join("; ")}</span>
            <Sources ids={sources} />
            {aside && <Override stop={id} />}
          </li>
        ))}
      </ul>
    </>
  );
}
