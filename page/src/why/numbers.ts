// Numbers as they are read: an interval's width sets the digits; chances are said as so many of 100.

import type { Interval } from "../api/types";

/** Digits after the point that an interval of this width deserves. */
export function digits(width: number): number {
  if (!(width > 0)) return 1;
  return Math.min(3, Math.max(0, 1 - Math.floor(Math.log10(width))));
}

export function share(v: number): string {
  const hundred = v * 100;
  return hundred > 0 && hundred < 0.5 ? "fewer than 1" : String(Math.round(hundred));
}

const UNITS: Record<string, string> = { millimetre: "mm", millimetres: "mm", square_millimetres: "mm²", degrees: "°", colour_difference: "dE00", years: "years", newton: "N" };

/** `16 of 100 (3 to 45)`, `9.2 dE00 (5.2 to 15)`. */
export function interval(of: Interval, unit: string | null | undefined): string {
  if (unit === "share") return `${share(of.mean)} of 100 (${share(of.low)} to ${share(of.high)})`;
  const n = digits(of.high - of.low);
  const word = unit ? ` ${UNITS[unit] ?? unit.replaceAll("_", " ")}` : "";
  return `${of.median.toFixed(n)}${word} (${of.low.toFixed(n)} to ${of.high.toFixed(n)})`;
}

/** First letter large. */
export function sentence(words: string): string {
  return words.charAt(0).toUpperCase() + words.slice(1);
}
