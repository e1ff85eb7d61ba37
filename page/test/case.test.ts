import assert from "node:assert/strict";
import test from "node:test";
import { arch, read, withArch, write } from "../src/state/case";

test("a field of an abutment is written to its own tooth and nowhere else", () => {
  const before = { abutment: [{ tooth: 45, pulp: "vital" }, { tooth: 47 }] };
  const after = write(before, [{ field: "abutment.pulp", tooth: 47, value: "necrotic" }]);
  assert.equal(read(after, "abutment.pulp", 45), "vital");
  assert.equal(read(after, "abutment.pulp", 47), "necrotic");
  assert.equal(read(before, "abutment.pulp", 47), undefined, "the case before is not touched");
});

test("null takes a field out, and a nested one alone", () => {
  const after = write({ wish: { colour: { L: 70, a: 1, b: 15 } }, moment: "plan" }, [{ field: "wish.colour.L", value: null }, { field: "moment", value: null }]);
  assert.deepEqual(after, { wish: { colour: { a: 1, b: 15 } } });
});

test("another set of teeth keeps the abutments that stay and drops those that go", () => {
  const before = { restoration: { teeth: [46], kind: "crown" }, abutment: [{ tooth: 46, walls: 3 }] };
  const after = withArch(before, [47, 46, 45], [46]);
  assert.deepEqual(arch(after), { teeth: [47, 46, 45], missing: [46] });
  assert.deepEqual(after["abutment"], [{ tooth: 47 }, { tooth: 45 }]);
  assert.equal(read(after, "restoration.kind"), "crown");
  assert.equal("missing" in (withArch(after, [46], [])["restoration"] as object), false);
});
