// Whole plans that were worked out at leisure, by the sheet and revision they were made of: they take the place of the quick one, also after
// the sheet was left or the page loaded anew.

import type { Report } from "../api/types";

const made = new Map<string, { revision: number; report: Report }>();

export function keepWhole(sheet: string, revision: number, report: Report): void {
  made.set(sheet, { revision, report });
}

/** The whole plan of a sheet as it stands; null when none was made of this revision. */
export function wholeOf(sheet: string, revision: number): Report | null {
  const known = made.get(sheet);
  return known?.revision === revision ? known.report : null;
}
