// The keys, listed in place under the head when `?` or its button asks.

import { KEYS, listed } from "../state/keys";

export function Keys() {
  if (!listed.value) return null;
  return (
    <section class="keys" aria-label="Keys" id="keys">
      <dl>
        {KEYS.map(([key, words]) => (
          <div key={key}>
            <dt><kbd>{key}</kbd></dt>
            <dd>{words}</dd>
          </div>
        ))}
      </dl>
      <button type="button" class="press" onClick={() => (listed.value = false)}>away with it</button>
    </section>
  );
}
