// Beside the sheet: what matters, what is unknown, what would change the answer.

import { Worked } from "../sheet/Worked";
import { read } from "../state/case";
import { goTo, next, report, set, shown } from "../state/desk";
import { words } from "../state/words";
import { begin, jobs } from "../state/jobs";
import { sentence, share } from "../why/numbers";

export function Beside() {
  return (
    <aside class="beside" aria-label="Beside the sheet">
      <Worked />
      <Matters />
      <Unknown />
      <Changes />
    </aside>
  );
}

/** The wishes in order; each can be moved up and down, and the ranking follows. */
function Matters() {
  const all = words.value?.priorities ?? [];
  if (all.length === 0) return null;
  const given = read(shown.value, "wish.order");
  const order = Array.isArray(given) ? [...given, ...all.map((p) => p.value).filter((v) => !given.includes(v))] : all.map((p) => p.value);
  const swap = (i: number, by: number) => {
    const moved = [...order];
    [moved[i], moved[i + by]] = [moved[i + by], moved[i]];
    set([{ field: "wish.order", value: moved }]);
  };
  return (
    <section aria-label="What matters">
      <h2>What matters</h2>
      {!Array.isArray(given) && <p class="quiet small">Not said yet: every way of weighing it is tried.</p>}
      <ol class="plain">
        {order.map((value, i) => {
          const word = all.find((p) => p.value === value)?.label ?? String(value);
          return (
            <li class="matter" key={String(value)}>
              <span class="quiet">{Array.isArray(given) ? i + 1 : "·"}</span>
              <span>{word}</span>
              <span class="move">
                <button type="button" disabled={i === 0} aria-label={`${word}: matters more`} onClick={() => swap(i, -1)}>↑</button>
                <button type="button" disabled={i === order.length - 1} aria-label={`${word}: matters less`} onClick={() => swap(i, 1)}>↓</button>
              </span>
            </li>
          );
        })}
      </ol>
    </section>
  );
}

/** Open questions, those that could change the choice most first; and what was answered, to go back to. */
function Unknown() {
  const now = next.value;
  if (!now) return null;
  const open = [...(now.row && !now.row.answered ? [now.row] : []), ...now.rest];
  const answered = now.rows.filter((r) => r.answered);
  return (
    <section aria-label="What is unknown">
      <h2>What is unknown</h2>
      {open.length === 0 && <p class="quiet">Nothing that is asked.</p>}
      <ul class="plain">
        {open.map((r) => (
          <li key={r.id}>
            <button type="button" class="item" onClick={() => goTo(r.id)}>
              <span class="words">{r.words}</span>
              {r.change != null && r.change > 0 && (
                <>
                  <span class="sr">, could change the choice in {share(r.change)} of 100</span>
                  <span class="bar"><span style={`width:${Math.min(100, r.change * 100)}%`} /></span>
                </>
              )}
            </button>
          </li>
        ))}
      </ul>
      {answered.length > 0 && (
        <details>
          <summary class="press">{answered.length} answered</summary>
          <ul class="plain">
            {answered.map((r) => (
              <li key={r.id}><button type="button" class="item" onClick={() => goTo(r.id)}><span class="words">{r.words}</span><br /><span class="quiet">{r.said}</span></button></li>
            ))}
          </ul>
        </details>
      )}
    </section>
  );
}

/** Each single change that was tried and puts another way first; asked for, since every one is computed again. */
function Changes() {
  const plan = report.value;
  if (!plan) return null;
  const all = plan.changes;
  const running = jobs.value.some((j) => j.kind === "plan" && (j.state === "running" || j.state === "waiting"));
  return (
    <section aria-label="What would change the answer" class={all || plan.case_against ? "" : "no-print"}>
      <h2>What would change the answer</h2>
      {!all && <p><button type="button" class="press" disabled={running} onClick={() => void begin("plan")}>{running ? "Trying every single change" : "Try every single change"}</button></p>}
      {all && all.found.length === 0 && <p class="quiet">None of {all.tried} single changes puts another way first.</p>}
      <ul class="plain">{(all?.found ?? []).slice(0, 6).map((c) => <li>{sentence(c.what)} <span class="quiet">→ {c.first}, first in {share(c.share)} of 100</span></li>)}</ul>
      {plan.case_against && <CaseAgainst points={plan.case_against.points} />}
    </section>
  );
}

/** The strongest honest argument against what the dentist chose. */
function CaseAgainst({ points }: { points: string[] }) {
  return (
    <>
      <h2 class="sub">Against the choice</h2>
      <ul>{points.map((p) => <li>{sentence(p)}</li>)}</ul>
    </>
  );
}
