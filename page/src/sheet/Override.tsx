// A stop set aside with a written reason, which goes on record; and taken back.

import { useSignal } from "@preact/signals";
import { change, shown } from "../state/desk";

interface Aside {
  stop: string;
  reason: string;
}

const list = (value: unknown): Aside[] => (Array.isArray(value) ? (value as Aside[]) : []);

export function Override({ stop }: { stop: string }) {
  const open = useSignal(false);
  const all = list(shown.value["override"]);
  const now = all.find((o) => o.stop === stop);
  const put = (next: Aside[]) => change((before) => {
    const { override: _, ...others } = before;
    return next.length > 0 ? { ...others, override: next } : others;
  });
  const send = (event: SubmitEvent) => {
    event.preventDefault();
    const reason = String(new FormData(event.currentTarget as HTMLFormElement).get("reason")).trim();
    if (reason) put([...all.filter((o) => o.stop !== stop), { stop, reason }]);
    open.value = false;
  };
  if (now) return <p class="small">Set aside: {now.reason}. <button type="button" class="press" onClick={() => put(all.filter((o) => o.stop !== stop))}>take it back</button></p>;
  if (!open.value) return <button type="button" class="press small" onClick={() => (open.value = true)}>set it aside with a reason</button>;
  return (
    <form onSubmit={send}>
      <label><span class="quiet small">Why may it be set aside here? It goes on record. </span><input type="text" name="reason" required minLength={3} /></label>{" "}
      <button type="submit" class="press">set it aside</button>
    </form>
  );
}
