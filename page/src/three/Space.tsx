// The way to the view in three dimensions, which loads when it is asked for.

import type { Option } from "../api/types";

export function Space({ option: _ }: { option: Option }) {
  return null;
}
