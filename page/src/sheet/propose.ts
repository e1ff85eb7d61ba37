// The usual answer of a row, proposed field by field: shown, and taken only by a press.

import type { Case, Row, Setting } from "../api/types";
import { read } from "../state/case";

/** What the most usual answer would set in the fields that are still open. Nothing when the row was answered in another of its ways. */
export function remaining(row: Row, of: Case): Setting[] {
  const usual = row.answers?.[0]?.set ?? [];
  const otherWay = usual.some((s) => (s.value === null || s.value === undefined) && read(of, s.field, s.tooth) !== undefined);
  if (otherWay) return [];
  const asked = (s: Setting) => (row.fields ?? []).some((f) => f.field === s.field && (f.tooth ?? null) === (s.tooth ?? null));
  return usual.filter((s) => s.value !== null && s.value !== undefined && asked(s) && read(of, s.field, s.tooth) === undefined);
}
