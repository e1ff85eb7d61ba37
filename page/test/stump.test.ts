import assert from "node:assert/strict";
import { test } from "node:test";
import type { Report } from "../src/api/types";

import { changed, prepared, standing } from "../src/state/stump";

const option = (id: string, first_share: number, mean: number) => ({ id, title: id, first_share, answers: [{ question: "last", value: { mean } }] });
const report = (...options: ReturnType<typeof option>[]) => ({ options }) as unknown as Report;

test("what the stump changed: the largest change first, less than one in a hundred not told", () => {
  const was = standing(report(option("a", 0.6, 0.1), option("b", 0.3, 0.12), option("c", 0.1, 0.2)));
  const now = report(option("b", 0.55, 0.12), option("a", 0.35, 0.13), option("c", 0.1, 0.204));
  const list = changed(was, now);
  assert.deepEqual(list.map((c) => c.title).sort(), ["a", "b"]);
  assert.deepEqual(list.find((c) => c.title === "a"), { title: "a", first: [0.6, 0.35], lost: [0.1, 0.13] });
});

test("only a tooth said not to be prepared is changed by the step to the stump", () => {
  const of = { restoration: { teeth: [45, 46, 47], missing: [46] }, abutment: [{ tooth: 45, prepared: false }, { tooth: 47, prepared: true }] };
  assert.deepEqual(prepared(of), [{ field: "abutment.prepared", tooth: 45, value: null }]);
});
