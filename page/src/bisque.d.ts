declare module "bisque:map" {
  /** Knots of the one-way colour map, CIELAB. */
  export const KNOTS: readonly (readonly [number, number, number])[];
}
