// Two hands on one sheet: laws of the merge, on invented cases.

import assert from "node:assert/strict";
import { test } from "node:test";
import { merge, same } from "../src/state/merge";

/** Invented cases, seeded: what is shown to hold holds for each of them. */
function* cases(n: number) {
  let seed = 7;
  const next = (below: number) => (seed = (seed * 48271) % 2147483647) % below;
  const one = () => {
    const of: Record<string, unknown> = {};
    for (const name of ["a", "b", "c"]) if (next(3) > 0) of[name] = next(3);
    if (next(3) > 0) of["mouth"] = { age: next(3), guard: next(2) === 0 };
    if (next(3) > 0) of["order"] = [next(2), next(2)];
    if (next(3) > 0) of["abutment"] = [36, 37].filter(() => next(3) > 0).map((tooth) => ({ tooth, post: next(2), wall: next(3) }));
    return of;
  };
  for (let i = 0; i < n; i++) yield [one(), one(), one()] as const;
}

test("nothing changed elsewhere: ours stands; nothing changed here: the one on disk stands", () => {
  for (const [base, ours] of cases(500)) {
    assert.ok(same(merge(base, ours, base).merged, ours));
    assert.deepEqual(merge(base, ours, base).lost, []);
    assert.ok(same(merge(base, base, ours).merged, ours));
    assert.ok(same(merge(base, ours, ours).merged, ours), "both changed it alike");
  }
});

test("a field that one of the two changed is as that one left it; a field both changed is as on disk, and named", () => {
  let clashes = 0;
  for (const [base, ours, disk] of cases(2000)) {
    const { merged, lost } = merge(base, ours, disk);
    for (const name of ["a", "b", "c", "order"]) {
      const [b, o, d, m] = [base, ours, disk, merged as typeof base].map((x) => x[name]);
      const wanted = same(b, o) ? d : same(b, d) || same(o, d) ? o : d;
      assert.ok(same(m, wanted), `${name}: ${JSON.stringify([b, o, d, m])}`);
      assert.equal(lost.includes(name), !same(b, o) && !same(b, d) && !same(o, d), name);
      clashes += Number(lost.includes(name));
    }
  }
  assert.ok(clashes > 100, "the invented cases clash often enough to show something");
});

test("rows of teeth are known by their tooth, not by their place", () => {
  const base = { abutment: [{ tooth: 45, post: "none" }, { tooth: 47, post: "none" }] };
  const ours = { abutment: [{ tooth: 45, post: "cast" }, { tooth: 47, post: "none" }] };
  const disk = { abutment: [{ tooth: 47, post: "none", wall: 2 }, { tooth: 45, post: "none" }] };
  const { merged, lost } = merge(base, ours, disk);
  const rows = (merged as typeof base).abutment;
  assert.deepEqual(rows.find((r) => r.tooth === 45), { tooth: 45, post: "cast" });
  assert.deepEqual(rows.find((r) => r.tooth === 47), { tooth: 47, post: "none", wall: 2 });
  assert.deepEqual(lost, []);
});
