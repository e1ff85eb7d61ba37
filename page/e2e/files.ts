// Files dropped on the sheet: a scan and a photograph of the stump.

import assert from "node:assert/strict";
import { deflateSync } from "node:zlib";
import type { Page } from "playwright-core";
import type { Sheet } from "../src/api/types";
import { api, open, wrong } from "./desk";
import { sheetOf } from "./rooms";
import type { Test } from "./run";

/** A ball of 5 mm as STL, a stand-in for a scan of a crown. */
export function ball(): Buffer {
  const [across, up, radius] = [24, 16, 5];
  const at = (i: number, j: number) => {
    const [t, p] = [(2 * Math.PI * i) / across, (Math.PI * j) / up];
    return [radius * Math.sin(p) * Math.cos(t), radius * Math.sin(p) * Math.sin(t), radius * Math.cos(p)];
  };
  const faces: number[][][] = [];
  for (let i = 0; i < across; i++) for (let j = 0; j < up; j++) {
    const [a, b, c, d] = [at(i, j), at(i, j + 1), at(i + 1, j + 1), at(i + 1, j)];
    if (j < up - 1) faces.push([a, b, c]);
    if (j > 0) faces.push([a, c, d]);
  }
  const bytes = Buffer.alloc(84 + 50 * faces.length);
  bytes.writeUInt32LE(faces.length, 80);
  faces.forEach((face, f) => face.flat().forEach((v, k) => bytes.writeFloatLE(v, 84 + 50 * f + 12 + 4 * k)));
  return bytes;
}

/** A small PNG of one colour, a stand-in for a photograph. */
export function photograph(): Buffer {
  const [w, h] = [64, 48];
  const raw = Buffer.alloc(h * (1 + 3 * w));
  for (let y = 0; y < h; y++) for (let x = 0; x < w; x++) raw.set([150, 120, 90], y * (1 + 3 * w) + 1 + 3 * x);
  const table = Array.from({ length: 256 }, (_, n) => { let c = n; for (let k = 0; k < 8; k++) c = c & 1 ? 0xedb88320 ^ (c >>> 1) : c >>> 1; return c >>> 0; });
  const crc = (b: Buffer) => { let c = 0xffffffff; for (const v of b) c = (table[(c ^ v) & 255] as number) ^ (c >>> 8); return (c ^ 0xffffffff) >>> 0; };
  const chunk = (name: string, data: Buffer) => {
    const body = Buffer.concat([Buffer.from(name), data]);
    const [length, sum] = [Buffer.alloc(4), Buffer.alloc(4)];
    length.writeUInt32BE(data.length);
    sum.writeUInt32BE(crc(body));
    return Buffer.concat([length, body, sum]);
  };
  const head = Buffer.alloc(13);
  head.writeUInt32BE(w, 0);
  head.writeUInt32BE(h, 4);
  head.set([8, 2, 0, 0, 0], 8);
  return Buffer.concat([Buffer.from([137, 80, 78, 71, 13, 10, 26, 10]), chunk("IHDR", head), chunk("IDAT", deflateSync(raw)), chunk("IEND", Buffer.alloc(0))]);
}

/** Drops a file on the window as a hand does. */
export async function drop(page: Page, name: string, bytes: Buffer): Promise<void> {
  await page.evaluate(({ name, data }) => {
    const bytes = Uint8Array.from(atob(data), (c) => c.charCodeAt(0));
    const transfer = new DataTransfer();
    transfer.items.add(new File([bytes], name));
    for (const kind of ["dragover", "drop"]) document.body.dispatchEvent(new DragEvent(kind, { dataTransfer: transfer, bubbles: true, cancelable: true }));
  }, { name, data: bytes.toString("base64") });
}

export const files: Test[] = [
  {
    name: "a scan and a photograph of the stump are dropped on the sheet",
    async run(on) {
      const id = await sheetOf(on, "molar-crown-ordered");
      const page = await open(on, `/#/sheet/${id}`);
      await page.waitForSelector(".ways", { timeout: 30_000 });
      const asked: string[] = [];
      page.on("request", (r) => asked.push(r.url()));
      await drop(page, "stump-of-a-person.png", photograph());
      await drop(page, "scan.stl", ball());
      await page.waitForFunction(() => document.querySelectorAll(".jobs li").length >= 2 && document.querySelectorAll(".jobs progress").length === 0, undefined, { timeout: 60_000 });
      const text = JSON.stringify((await api<Sheet>(on, `/sheets/${id}`)).case);
      assert.ok(/"photographs":\["[^"]+\.png"\]/.test(text) && /"scan":"[^"]+\.stl"/.test(text), text);
      assert.ok(asked.some((url) => url.includes("/files?")) && !asked.some((url) => url.includes("person")), "what a file is called stays here");
      assert.deepEqual(wrong(page), []);
    },
  },
  {
    name: "a file of another kind is refused with what to do, and changes nothing",
    async run(on) {
      const id = await sheetOf(on, "premolar-too-close");
      const before = await api<Sheet>(on, `/sheets/${id}`);
      const page = await open(on, `/#/sheet/${id}`);
      await page.waitForSelector(".ways", { timeout: 30_000 });
      await drop(page, "letter.docx", Buffer.from("hello"));
      await page.getByText("letter.docx was not taken.").waitFor();
      assert.equal((await api<Sheet>(on, `/sheets/${id}`)).revision, before.revision);
    },
  },
];
