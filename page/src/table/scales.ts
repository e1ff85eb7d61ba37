// The same scale down a column: from nought to a round number that holds nearly all intervals.

import type { Option } from "../api/types";

export type Scale = { end: number; percent: boolean };

/** 1, 2 or 5 times a power of ten, not below. */
export function round(value: number): number {
  if (!(value > 0)) return 1;
  const power = 10 ** Math.floor(Math.log10(value));
  return ([1, 2, 5, 10].find((m) => m * power >= value * 0.999) ?? 10) * power;
}

/** One scale a question. */
export function scales(options: readonly Option[]): Record<string, Scale> {
  const highs = new Map<string, { values: number[]; percent: boolean }>();
  for (const { answers } of options) {
    for (const a of answers) {
      if (!a.value) continue;
      const column = highs.get(a.question) ?? { values: [], percent: a.unit === "share" };
      column.values.push(a.value.high);
      highs.set(a.question, column);
    }
  }
  return Object.fromEntries([...highs].map(([question, { values, percent }]) => {
    values.sort((a, b) => a - b);
    const high = values[Math.floor((values.length - 1) * 0.9)] ?? 1;
    return [question, { end: percent ? Math.min(1, round(high)) : round(high), percent }];
  }));
}
