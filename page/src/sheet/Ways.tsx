// The three ways beside each other, each asked the same: odds, failure and what is then left, tooth cut, seen or not, hold, price.

import type { ComponentChildren } from "preact";
import type { Option } from "../api/types";
import { Dots, scaleEnd } from "../figures/Dots";
import { Small } from "../figures/Small";
import { Touching } from "../figures/Touching";
import { AskWhy, BecauseOf, Sources } from "../why/Why";
import { sentence, share } from "../why/numbers";
import { label } from "../state/words";
import { report, shown } from "../state/desk";
import { Fees } from "./Fees";
import { answer, three, type Shown } from "./pick";

const RAIL = ["Lasts", "Fails by", "Tooth cut", "Seen", "Holds", "Costs"];

export function Ways() {
  const plan = report.value;
  if (!plan) return null;
  const ways = three(shown.value, plan);
  const end = scaleEnd(ways.map((w) => answer(w.option, "last")?.quantiles ?? []));
  return (
    <div class="ways drawn" style={`--ways:${ways.length}`}>
      <div class="rail" aria-hidden="true">
        <span />
        {RAIL.map((word) => <span>{word}</span>)}
      </div>
      {ways.map((way) => <Way way={way} end={end} key={way.option.id} />)}
    </div>
  );
}

function Way({ way, end }: { way: Shown; end: number }) {
  const { option } = way;
  return (
    <article class={`way ${way.first ? "first" : ""}`} aria-label={option.title}>
      <header>
        <h2 class="title">
          <span class="place">{sentence(way.place)}</span>
          {sentence(option.title)}
        </h2>
        <p class="odds">{option.stopped ? "stopped" : `first in ${share(option.first_share ?? 0)} of 100 weighings`}</p>
      </header>
      <dl>
        <div><dt>Lasts</dt><dd><Lasts option={option} end={end} accent={way.first} /></dd></div>
        <div><dt>Fails by</dt><dd><Fails option={option} /></dd></div>
        <div><dt>Tooth cut</dt><dd><Lost option={option} /></dd></div>
        <div><dt>Seen</dt><dd><Seen option={option} /></dd></div>
        <div><dt>Holds</dt><dd><Said option={option} question="hold" /></dd></div>
        <div><dt>Costs</dt><dd><Said option={option} question="cost" /></dd></div>
      </dl>
    </article>
  );
}

/** An answer in words, to be asked why. */
export function Said({ option, question, between }: { option: Option; question: string; between?: ComponentChildren }) {
  const said = answer(option, question);
  if (!said) return <span class="quiet">not asked</span>;
  return <AskWhy between={between} answer={() => <><BecauseOf option={option.id} answer={said} />{question === "cost" && <Fees option={option} />}</>}>{sentence(said.words)}</AskWhy>;
}

function Lasts({ option, end, accent }: { option: Option; end: number; accent: boolean }) {
  const last = answer(option, "last");
  const dots = last?.quantiles && last.quantiles.length > 0 && (
    <div class="figure">
      <Dots quantiles={last.quantiles} end={end} accent={accent} title={`${last.words}; each of 20 dots is one chance in 20, on a scale from 0 to ${Math.round(end * 100)} of 100 lost by ten years`} />
    </div>
  );
  return <Said option={option} question="last" between={dots} />;
}

/** The likeliest way of failing; where that is only the rest of all causes, the likeliest named one too. */
function Fails({ option }: { option: Option }) {
  const [likeliest] = option.failures;
  if (!likeliest) return <span class="quiet">no study counts it</span>;
  const rest = likeliest.cause === "other_failure";
  const shown = [likeliest, ...(rest ? option.failures.filter((f) => f !== likeliest && f.cause !== "other_failure").slice(0, 1) : [])];
  return (
    <>
      <AskWhy
        answer={() => <FailureList option={option} />}
        between={shown.slice(-1).map((f) => <p class="after">{sentence(label("consequences", f.consequence))}: {f.then}</p>)}
      >
        {sentence(shown.map((f) => `${label("causes", f.cause)} ${share(f.risk[1]?.mean ?? f.risk[0]?.mean ?? 0)} of 100`).join(", "))} by ten years
      </AskWhy>
    </>
  );
}

function FailureList({ option }: { option: Option }) {
  return (
    <>
      <ul>
        {option.failures.map((f) => {
          const ten = f.risk[1] ?? f.risk[0];
          return <li>{label("causes", f.cause)}: {ten ? `${share(ten.mean)} of 100 (${share(ten.low)} to ${share(ten.high)}) by ten years` : "not known"}; {label("consequences", f.consequence)}</li>;
        })}
      </ul>
      <Sources ids={answer(option, "last")?.sources ?? []} />
    </>
  );
}

function Lost({ option }: { option: Option }) {
  const cut = option.preparation[0];
  return (
    <div class="pair">
      {cut && cut.depths.length > 0 && <Small option={option.id} preparation={cut} />}
      <div><Said option={option} question="lose" /></div>
    </div>
  );
}

function Seen({ option }: { option: Option }) {
  const colour = option.colour[0];
  return (
    <div class="pair">
      {colour && <Touching colour={colour} />}
      <div><Said option={option} question="show" /></div>
    </div>
  );
}
