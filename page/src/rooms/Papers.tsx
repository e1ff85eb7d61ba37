// The paper tray: every paper of the case, previewed as it prints.

import { useSignal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import { ask, askBytes, Trouble } from "../api/client";
import type { Issue } from "../api/types";
import { IssueLines } from "../parts/Trouble";
import { named } from "../sheet/pick";
import { open, report, sheet, shown } from "../state/desk";
import { address } from "../state/route";
import { label } from "../state/words";

interface Paper {
  name: string;
  title: string;
  made: boolean;
  /** Languages it speaks, the first unless another is chosen. */
  languages?: string[];
  forms?: string[];
  complete?: boolean;
  missing?: string[];
  why?: string | null;
}

export function Papers({ id }: { id: string }) {
  const list = useSignal<Paper[] | null>(null);
  const trouble = useSignal<Issue | null>(null);
  const which = useSignal<string | null>(null);
  const option = useSignal<string | null>(null);
  const language = useSignal<string | null>(null);
  const printing = useSignal(false);
  const frame = useRef<HTMLIFrameElement>(null);

  useEffect(() => {
    if (sheet.value?.id !== id) void open(id);
  }, [id]);
  useEffect(() => {
    const query = option.value ? `?option=${encodeURIComponent(option.value)}` : "";
    ask<Paper[]>(`/sheets/${id}/papers${query}`)
      .then((got) => {
        list.value = got;
        trouble.value = null;
        if (!got.some((p) => p.name === which.value && p.made)) which.value = got.find((p) => p.made)?.name ?? null;
      })
      .catch((error) => {
        if (error instanceof Trouble) trouble.value = error.issue;
      });
  }, [id, option.value, sheet.value?.revision]);

  const plan = report.value;
  const chosen = plan && (named(shown.value, plan.options) ?? plan.options[0]);
  const now = list.value?.find((p) => p.name === which.value);
  const languages = now?.languages ?? [];
  // A paper that does not speak the language chosen for another is shown in its own.
  const spoken = language.value && languages.includes(language.value) ? language.value : null;
  const paper = (form: string) => `/sheets/${id}/papers/${which.value}.${form}?${new URLSearchParams({ ...(option.value ? { option: option.value } : {}), ...(spoken ? { lang: spoken } : {}) })}`;
  const source = which.value ? `/api${paper("html")}` : null;
  const save = async (title: string) => {
    printing.value = true;
    trouble.value = null;
    try {
      const link = document.createElement("a");
      link.href = URL.createObjectURL(new Blob([await askBytes(paper("pdf"), { headers: { accept: "application/pdf" } })], { type: "application/pdf" }));
      link.download = `${title}.pdf`;
      link.click();
      setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
    } catch (error) {
      if (error instanceof Trouble) trouble.value = error.issue;
      else throw error;
    } finally {
      printing.value = false;
    }
  };
  return (
    <main id="main" tabIndex={-1} class="room">
      <h1>Papers</h1>
      {plan && (
        <p>
          <label>
            written for{" "}
            <select value={option.value ?? chosen?.id} onChange={(e) => (option.value = e.currentTarget.value)}>
              {plan.options.map((o) => <option value={o.id}>{o.title}</option>)}
              {plan.alternatives.map((a) => <option value={a.construct}>{a.title}</option>)}
            </select>
          </label>
        </p>
      )}
      {!list.value && !trouble.value && <p class="quiet" role="status">Writing the papers.</p>}
      {trouble.value && <IssueLines issue={trouble.value} />}
      {list.value?.length === 0 && <p class="empty">No paper can be written yet. <a href={address("sheet", id)}>Go back to the sheet</a> and answer what is asked first.</p>}
      {list.value && list.value.length > 0 && (
        <div class="tray">
          <nav aria-label="Papers of this case">
            {list.value.map((p) => (
              <button type="button" disabled={!p.made} aria-current={p.name === which.value ? "true" : undefined} onClick={() => (which.value = p.name)}>
                {p.title}
                {p.made && p.complete === false && <span class="quiet small"><br />not complete yet</span>}
                {!p.made && p.why && <span class="quiet small"><br />{p.why}</span>}
              </button>
            ))}
          </nav>
          <div>
            {source && now && (
              <>
                <p class="actions">
                  <button type="button" class="action main" ref={(b) => { if (b && document.activeElement === document.body) b.focus(); }} onClick={() => frame.current?.contentWindow?.print()}>Print {now.title.toLowerCase()}</button>
                  {(now.forms ?? []).includes("pdf") && <button type="button" class="action" disabled={printing.value} onClick={() => void save(now.name)}>{printing.value ? "Making the PDF" : "Save as PDF"}</button>}
                  <a class="press" href={source} target="_blank" rel="noopener">open alone</a>
                  {languages.length > 1 && (
                    <label><span class="quiet">in </span><select value={spoken ?? languages[0]} onChange={(e) => (language.value = e.currentTarget.value)}>{languages.map((l) => <option value={l} lang={l}>{label("languages", l)}</option>)}</select></label>
                  )}
                </p>
                {now.missing && now.missing.length > 0 && <p class="small">Still missing: {now.missing.join("; ")}.</p>}
                <iframe ref={frame} class="paper" title={now.title} src={source} />
              </>
            )}
          </div>
        </div>
      )}
    </main>
  );
}
