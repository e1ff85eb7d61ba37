// Reading and writing single fields of a case, as the case file names them: `mouth.age`, `abutment.pulp` of a tooth,
// `wish.colour.L`, `moment`.

import type { Case, Setting } from "../api/types";

type Section = { [key: string]: unknown };

const section = (value: unknown): Section => (value !== null && typeof value === "object" && !Array.isArray(value) ? (value as Section) : {});
const list = (value: unknown): Section[] => (Array.isArray(value) ? value.map(section) : []);

/** The teeth of the restoration and those of them that are missing. */
export function arch(of: Case): { teeth: number[]; missing: number[] } {
  const { teeth, missing } = section(of["restoration"]);
  const codes = (value: unknown) => (Array.isArray(value) ? value.filter((t): t is number => typeof t === "number") : []);
  return { teeth: codes(teeth), missing: codes(missing) };
}

/** Value of a field; of a tooth where the field is one of an abutment. */
export function read(of: Case, field: string, tooth?: number | null): unknown {
  const [head, ...rest] = field.split(".") as [string, ...string[]];
  let at: unknown = of[head];
  if (head === "abutment") at = list(at).find((a) => a["tooth"] === tooth);
  for (const key of rest) at = section(at)[key];
  return at;
}

/** The case with these fields written; `undefined` or null takes a field out. What is not touched is shared, not copied. */
export function write(of: Case, settings: readonly Setting[]): Case {
  return settings.reduce(writeOne, of);
}

function writeOne(of: Case, { field, tooth, value }: Setting): Case {
  const [head, ...rest] = field.split(".") as [string, ...string[]];
  if (rest.length === 0) return put(of, [head], value);
  if (head !== "abutment") return put(of, [head, ...rest], value);
  const abutments = list(of["abutment"]);
  const known = abutments.some((a) => a["tooth"] === tooth);
  const all = known ? abutments : [...abutments, { tooth }];
  return { ...of, abutment: all.map((a) => (a["tooth"] === tooth ? put(a, rest, value) : a)) };
}

function put(at: Section, [key, ...rest]: string[], value: unknown): Section {
  if (key === undefined) return at;
  const inner = rest.length === 0 ? value : put(section(at[key]), rest, value);
  if (inner === undefined || inner === null) {
    const { [key]: _, ...others } = at;
    return others;
  }
  return { ...at, [key]: inner };
}

/** The case with another set of teeth; abutments of teeth that no longer stand in it are dropped, those that stay are kept. */
export function withArch(of: Case, teeth: number[], missing: number[]): Case {
  const standing = teeth.filter((t) => !missing.includes(t));
  const restoration: Section = { ...section(of["restoration"]), teeth };
  if (missing.length > 0) restoration["missing"] = missing;
  else delete restoration["missing"];
  const before = list(of["abutment"]);
  const abutment = standing.map((tooth) => before.find((a) => a["tooth"] === tooth) ?? { tooth });
  const changed: Case = { ...of, restoration };
  if (abutment.length > 0) changed["abutment"] = abutment;
  else delete changed["abutment"];
  return changed;
}
