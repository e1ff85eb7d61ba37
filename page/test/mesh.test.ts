import assert from "node:assert/strict";
import test from "node:test";
import { extent, readMesh } from "../src/three/mesh";

/** Bytes as the program writes them. */
function bytes(header: object, places: number[], triangles: number[], scalar: number[] = []): ArrayBuffer {
  const head = new TextEncoder().encode(JSON.stringify(header));
  const at = Math.ceil((4 + head.length) / 4) * 4;
  const all = new ArrayBuffer(at + 4 * (places.length + triangles.length + scalar.length));
  new DataView(all).setUint32(0, head.length, true);
  new Uint8Array(all, 4, head.length).set(head);
  new Float32Array(all, at, places.length).set(places);
  new Uint32Array(all, at + 4 * places.length, triangles.length).set(triangles);
  new Float32Array(all, at + 4 * (places.length + triangles.length)).set(scalar);
  return all;
}

const header = { vertices: 3, triangles: 1, scalar: { name: "depth", unit: "mm", low: 0, high: 2 }, title: "t", text: "w" };

test("a mesh comes back as it was written", () => {
  const mesh = readMesh(bytes(header, [0, 0, 0, 1, 0, 0, 0, 2, -3], [0, 1, 2], [0, 1, 2]));
  assert.deepEqual([...mesh.triangles], [0, 1, 2]);
  assert.deepEqual([...(mesh.scalar ?? [])], [0, 1, 2]);
  assert.deepEqual(extent(mesh.places), [[0, 1], [0, 2], [-3, 0]]);
});

test("half a mesh, and garbage, are refused with words", () => {
  const whole = bytes(header, [0, 0, 0, 1, 0, 0, 0, 2, -3], [0, 1, 2], [0, 1, 2]);
  for (let cut = 0; cut < whole.byteLength; cut += 7) assert.throws(() => readMesh(whole.slice(0, cut)), Error);
});
