// CIELAB (D65, 2 degree) to sRGB for the screen; IEC 61966-2-1 matrix and transfer, D65 white of CIE 15. For showing only: the
// numbers of a plan come from the program, and a screen differs from a mouth.

export type Lab = readonly [L: number, a: number, b: number];

const WHITE: readonly [number, number, number] = [0.95047, 1, 1.08883];

/** `rgb(...)` for a colour, and whether the screen can show it. */
export function screen([L, a, b]: Lab): { css: string; shown: boolean } {
  const fy = (L + 16) / 116;
  const inverse = (f: number) => (f > 6 / 29 ? f ** 3 : 3 * (6 / 29) ** 2 * (f - 4 / 29));
  const X = WHITE[0] * inverse(fy + a / 500);
  const Y = WHITE[1] * inverse(fy);
  const Z = WHITE[2] * inverse(fy - b / 200);
  const linear = [
    3.2404542 * X - 1.5371385 * Y - 0.4985314 * Z,
    -0.969266 * X + 1.8760108 * Y + 0.041556 * Z,
    0.0556434 * X - 0.2040259 * Y + 1.0572252 * Z,
  ];
  const encode = (c: number) => (c <= 0.0031308 ? 12.92 * c : 1.055 * c ** (1 / 2.4) - 0.055);
  const shown = linear.every((c) => c >= -0.002 && c <= 1.002);
  const channels = linear.map((c) => Math.round(255 * encode(Math.min(1, Math.max(0, c)))));
  return { css: `rgb(${channels.join(" ")})`, shown };
}

export function said([L, a, b]: Lab): string {
  return `L* ${L.toFixed(0)}, a* ${a.toFixed(0)}, b* ${b.toFixed(0)}`;
}
