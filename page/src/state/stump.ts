// From before preparation to the stump and back. What the plan said before is asked of the sheet's revisions, so that any window can say what changed.

import type { Case, Report, Setting } from "../api/types";
import { arch, read } from "./case";

/** What stood at the top before preparation, of one way. */
export interface Before {
  id: string;
  title: string;
  /** Share of weighings in which it came first. */
  first: number;
  /** Share lost by ten years, where it is known. */
  lost: number | null;
}

const lost = (option: Report["options"][number]): number | null => option.answers.find((a) => a.question === "last")?.value?.mean ?? null;

/** The ways of a plan as they are compared later. */
export function standing(report: Report): Before[] {
  return report.options.map((o) => ({ id: o.id, title: o.title, first: o.first_share ?? 0, lost: lost(o) }));
}

export interface Changed {
  title: string;
  first: [number, number];
  /** Only where it moved. */
  lost: [number, number] | null;
}

/** A change of so much (share) is worth a line. */
const WORTH = 0.01;

/** Ways whose place or odds the readings changed, the largest change first. */
export function changed(was: readonly Before[], report: Report, most = 4): Changed[] {
  const old = new Map(was.map((w) => [w.id, w]));
  return standing(report)
    .flatMap((now): Changed[] => {
      const then = old.get(now.id);
      if (!then) return [];
      const moved = then.lost !== null && now.lost !== null && Math.abs(now.lost - then.lost) >= WORTH;
      return [{ title: now.title, first: [then.first, now.first], lost: moved ? [then.lost as number, now.lost as number] : null }];
    })
    .filter((c) => size(c) >= WORTH)
    .sort((a, b) => size(b) - size(a))
    .slice(0, most);
}

const size = (c: Changed): number => Math.max(Math.abs(c.first[1] - c.first[0]), c.lost ? Math.abs(c.lost[1] - c.lost[0]) : 0);

/** At the stump every tooth that carries it is prepared: a word to the contrary falls with the step. */
export function prepared(of: Case): Setting[] {
  const { teeth, missing } = arch(of);
  return teeth.filter((t) => !missing.includes(t) && read(of, "abutment.prepared", t) === false).map((tooth) => ({ field: "abutment.prepared", tooth, value: null }));
}
