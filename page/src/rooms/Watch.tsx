// Looking out: what is changing, by laboratory, with the charts; and what cannot be watched yet.

import { useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { ask } from "../api/client";

interface Chart {
  what: string;
  words?: string;
  alarm?: unknown;
  signals?: unknown[];
}

interface Watched {
  charts: Chart[];
  not_yet: { what: string; why: string }[];
}

export function Watch({ turn }: { turn: number }) {
  const got = useSignal<Watched | null>(null);
  useEffect(() => {
    ask<Watched>("/register/watch").then((w) => (got.value = w)).catch(() => (got.value = null));
  }, [turn]);
  if (!got.value) return null;
  const { charts, not_yet } = got.value;
  return (
    <section class="part" aria-labelledby="watch">
      <header><h2 id="watch">Looking out</h2><span class="quiet">{charts.length === 0 ? "Nothing is watched yet" : `${charts.length} charts`}</span></header>
      <ul class="plain">{charts.map((c) => <li><strong>{c.what}</strong> {c.words ?? ""}</li>)}</ul>
      {not_yet.length > 0 && (
        <details>
          <summary class="press">{not_yet.length} cannot be watched yet</summary>
          <ul class="plain">{not_yet.map((n) => <li>{n.what}: <span class="quiet">{n.why}</span></li>)}</ul>
        </details>
      )}
    </section>
  );
}
