declare module "bisque:map" {
  /** Knots of the one-way colour map, CIELAB. */
  export const KNOTS: readonly (readonly [number, number, number])[];
}

declare module "bisque:inks" {
  /** Inks by role on the light ground, `#rrggbb`. */
  export const INKS: Readonly<Record<string, string>>;
}
