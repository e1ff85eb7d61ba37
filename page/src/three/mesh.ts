// A mesh as the program sends it: length of the header, the header as JSON, then places, triangles and perhaps one number a place.

export interface Header {
  vertices: number;
  triangles: number;
  scalar?: { name: string; unit: string; low: number; high: number } | null;
  title: string;
  /** What is to be seen, in words. */
  text: string;
}

export interface Mesh {
  header: Header;
  places: Float32Array;
  triangles: Uint32Array;
  scalar: Float32Array | null;
}

/** Reads it; throws with a sentence when the bytes are not what the header says. */
export function readMesh(bytes: ArrayBuffer): Mesh {
  const view = new DataView(bytes);
  const length = bytes.byteLength >= 4 ? view.getUint32(0, true) : -1;
  if (length < 0 || 4 + length > bytes.byteLength) throw new Error("The form did not arrive whole.");
  const header = JSON.parse(new TextDecoder().decode(new Uint8Array(bytes, 4, length))) as Header;
  let at = Math.ceil((4 + length) / 4) * 4;
  const numbers = header.vertices * 3 + header.triangles * 3 + (header.scalar ? header.vertices : 0);
  if (at + numbers * 4 > bytes.byteLength) throw new Error("The form did not arrive whole.");
  const places = new Float32Array(bytes, at, header.vertices * 3);
  at += header.vertices * 12;
  const triangles = new Uint32Array(bytes, at, header.triangles * 3);
  at += header.triangles * 12;
  return { header, places, triangles, scalar: header.scalar ? new Float32Array(bytes, at, header.vertices) : null };
}

/** Ends of a form along the three ways, mm. */
export function extent(places: Float32Array): [number, number][] {
  const ends: [number, number][] = [[Infinity, -Infinity], [Infinity, -Infinity], [Infinity, -Infinity]];
  for (let i = 0; i < places.length; i++) {
    const pair = ends[i % 3] as [number, number];
    const v = places[i] as number;
    if (v < pair[0]) pair[0] = v;
    if (v > pair[1]) pair[1] = v;
  }
  return ends;
}
