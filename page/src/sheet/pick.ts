// Which three ways stand at the top: the best, the runner-up, and the one the dentist named.

import type { Case, Option, Report } from "../api/types";
import { read } from "../state/case";

export interface Shown {
  option: Option;
  place: string;
  first: boolean;
}

/** The option the dentist named: what was chosen, else the first of the planned kind. */
export function named(of: Case, options: readonly Option[]): Option | undefined {
  const [construct, material, build] = ["construct", "material", "build"].map((f) => read(of, `chosen.${f}`));
  const fits = (o: Option) => (construct === undefined || o.construct === construct) && (material === undefined || o.material === material) && (build === undefined || o.build === build);
  if (construct !== undefined) return options.find(fits);
  const kind = read(of, "restoration.kind");
  return kind === undefined || kind === "open" ? undefined : options.find((o) => o.construct === kind);
}

export function three(of: Case, report: Report): Shown[] {
  const open = report.options.filter((o) => !o.stopped);
  const [best, second, third] = open.length > 0 ? open : report.options;
  if (!best) return [];
  const yours = named(of, report.options);
  const place = report.too_close ? "among the first" : "first";
  const shown: Shown[] = [{ option: best, place: yours === best ? `${place}, and the one you named` : place, first: true }];
  if (second) shown.push({ option: second, place: yours === second ? "next, and the one you named" : "next", first: false });
  const last = yours && !shown.some((s) => s.option === yours) ? { option: yours, place: "the one you named", first: false } : third && { option: third, place: "third", first: false };
  if (last) shown.push(last);
  return shown;
}

/** Answer of an option to a question. */
export function answer(option: Option, question: string) {
  return option.answers.find((a) => a.question === question);
}
