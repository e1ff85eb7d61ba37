// A flat cross-section to scale, on which thickness, taper and connector are dragged; the answers follow.

import type { Option } from "../api/types";

export function Try({ option }: { option: Option }) {
  return <p class="quiet small">{option.title}</p>;
}
