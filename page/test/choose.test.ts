import assert from "node:assert/strict";
import test from "node:test";
import { following, put, state } from "../src/arch/choose";

const LOWER = [48, 47, 46, 45, 44, 43, 42, 41, 31, 32, 33, 34, 35, 36, 37, 38];
const none = { teeth: [], missing: [] };

test("a gap takes its neighbours as abutments", () => {
  assert.deepEqual(put(none, 46, "missing", LOWER), { teeth: [47, 46, 45], missing: [46] });
  assert.deepEqual(put(none, 31, "missing", LOWER), { teeth: [41, 31, 32], missing: [31] });
});

test("a gap next to a gap is one restoration", () => {
  const one = put(none, 46, "missing", LOWER);
  assert.deepEqual(put(one, 45, "missing", LOWER), { teeth: [47, 46, 45, 44], missing: [46, 45] });
});

test("the last tooth of an arch has one neighbour", () => {
  assert.deepEqual(put(none, 48, "missing", LOWER), { teeth: [48, 47], missing: [48] });
});

test("a tooth elsewhere is a new choice; one beside joins", () => {
  const one = put(none, 46, "standing", LOWER);
  assert.deepEqual(put(one, 31, "standing", LOWER).teeth, [31]);
  assert.deepEqual(put(one, 45, "standing", LOWER).teeth, [46, 45]);
});

test("pressing goes round: taken, missing, let go; nothing is left of a gap that is no more", () => {
  let now = none as { teeth: number[]; missing: number[] };
  for (const expected of ["standing", "missing", "off"] as const) {
    now = put(now, 46, following(state(now, 46)), LOWER);
    assert.equal(state(now, 46), expected);
  }
  assert.deepEqual(now, none);
});
