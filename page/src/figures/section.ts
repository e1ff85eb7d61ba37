// The flat cross-section as the program sends it, and the answers that follow a drag.

import type { Curve, Interval } from "../api/types";

export interface Outline {
  what: string;
  words?: string | null;
  points: [number, number][];
  closed?: boolean;
}

export interface Handle {
  id: string;
  words: string;
  value: number;
  min: number;
  max: number;
  step: number;
  unit: string;
  /** Where it stands, mm. */
  at: [number, number];
  /** How far it moves for one unit of its value, mm; up is the chewing surface. */
  along: [number, number];
}

export interface Section {
  tooth?: number | null;
  /** What is seen, in words. */
  words?: string;
  outlines: Outline[];
  handles: Handle[];
}

export interface Tried {
  option: string;
  questions: { question: string; verdict: string; words: string; value?: Interval | null }[];
  curve?: Curve | null;
  section?: Section | null;
  took_ms: number;
}

/** The section on the screen, where down is more. */
export function onScreen(section: Section): Section {
  const flip = ([x, y]: [number, number]): [number, number] => [x, -y];
  return {
    ...section,
    outlines: section.outlines.map((o) => ({ ...o, points: o.points.map(flip) })),
    handles: section.handles.map((h) => ({ ...h, at: flip(h.at), along: flip(h.along) })),
  };
}

/** Box around all outlines, with some air. */
export function box(section: Section, air = 1.2): { left: number; top: number; width: number; height: number } {
  const spots = section.outlines.flatMap((o) => o.points).concat(section.handles.map((h) => h.at));
  const [xs, ys] = [spots.map((s) => s[0]), spots.map((s) => s[1])];
  const [left, top] = [Math.min(...xs) - air, Math.min(...ys) - air];
  return { left, top, width: Math.max(...xs) + air - left, height: Math.max(...ys) + air - top };
}

/** The value a handle has when it is dragged by a way on the drawing (mm): the part along its own direction, on its steps. */
export function dragged(handle: Handle, from: number, [dx, dy]: readonly [number, number]): number {
  const [ax, ay] = handle.along;
  const length = ax * ax + ay * ay;
  return length > 0 ? onStep(handle, from + (dx * ax + dy * ay) / length) : from;
}

/** On the handle's steps and within its bounds. */
export function onStep(handle: Handle, value: number): number {
  const { min: least, max: most, step } = handle;
  const steps = Math.round((value - least) / step);
  return Math.min(most, Math.max(least, Number((least + steps * step).toFixed(6))));
}
