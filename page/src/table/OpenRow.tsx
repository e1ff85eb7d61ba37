// A way, opened in place: reasons question by question, failures over time, colours, depths, sources.

import { useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import type { Option } from "../api/types";
import { Fan } from "../figures/Fan";
import { Causes } from "../figures/Causes";
import { CutPicture } from "../figures/Cut";
import { Lights } from "../figures/Lights";
import { Try } from "../figures/Try";
import { Space } from "../three/Space";
import { label } from "../state/words";
import { set } from "../state/desk";
import { BecauseOf } from "../why/Why";
import { interval, sentence } from "../why/numbers";

const TITLES: Record<string, string> = { last: "Will it last?", break: "Will it break?", show: "Will it show?", lose: "What does the tooth lose?", hold: "Will it hold?", cost: "What will it cost?" };

/** A way, opened: its head at once, the rest in the next frame, so that the press is answered without delay. */
export function OpenRow({ option }: { option: Option }) {
  const whole = useSignal(false);
  useEffect(() => {
    const frame = requestAnimationFrame(() => setTimeout(() => (whole.value = true)));
    return () => cancelAnimationFrame(frame);
  }, []);
  return whole.value ? <Opened option={option} /> : <p class="quiet">Opening {option.title}</p>;
}

function Opened({ option }: { option: Option }) {
  const choose = () =>
    set([
      { field: "chosen.construct", value: option.construct },
      { field: "chosen.material", value: option.material ?? null },
      { field: "chosen.build", value: option.build ?? null },
    ]);
  return (
    <div>
      <div class="actions no-print">
        <button type="button" class="action" onClick={choose}>Choose this way</button>
      </div>
      {option.stops.map((s) => <p class="trouble">{s.forbids ? "Stopped: " : ""}{sentence(s.text)}.</p>)}
      <div class="open-row">
        {option.loss_curve && <figure><figcaption><h3>Lost over the years</h3></figcaption><Fan option={option} /></figure>}
        {option.failures.length > 0 && <figure><figcaption><h3>By cause</h3></figcaption><Causes option={option} /></figure>}
        <figure><figcaption><h3>On the section</h3></figcaption><Try option={option} /></figure>
        {option.colour.length > 0 && <figure><figcaption><h3>Beside the wish</h3></figcaption><Lights option={option} /></figure>}
        {option.preparation.length > 0 && (
          <figure>
            <figcaption><h3>What is cut</h3></figcaption>
            {option.preparation.map((p) => (
              <div>
                <CutPicture preparation={p} />
                <p class="small">{p.tooth}: {interval(p.share_removed, "share")} parts of the crown{p.dentine_left ? `; dentine over the pulp ${interval(p.dentine_left, "millimetres")}` : ""}</p>
              </div>
            ))}
          </figure>
        )}
      </div>
      <div class="open-row">
        {option.answers.map((a) => (
          <section>
            <h3>{TITLES[a.question] ?? label("questions", a.question)}</h3>
            <p>{sentence(a.words)}.</p>
            <BecauseOf option={option.id} answer={a} />
          </section>
        ))}
      </div>
      {option.dimensions.length > 0 && (
        <div class="scroll" tabIndex={0} role="region" aria-label="Dimensions">
          <table class="plain-table">
            <thead><tr><th scope="col">Dimension</th><th scope="col">Working</th><th scope="col">Least tested</th><th scope="col">There is</th></tr></thead>
            <tbody>
              {option.dimensions.map((d) => (
                <tr><th scope="row">{sentence(d.what)}{d.surface ? `, ${d.surface}` : ""}</th><td>{d.working ?? ""}</td><td>{d.tested_minimum ?? ""}</td><td>{d.available ?? "not known"}</td></tr>
              ))}
            </tbody>
          </table>
        </div>
      )}
      <Space option={option} />
    </div>
  );
}
