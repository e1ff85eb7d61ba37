// Two hands on one sheet: what each changed since both saw the same is kept; where both changed the same field, what is on disk stands and is named.

type Json = unknown;
type Fields = Record<string, Json>;

const isFields = (v: Json): v is Fields => typeof v === "object" && v !== null && !Array.isArray(v);
const teeth = (v: Json): v is (Fields & { tooth: number })[] => Array.isArray(v) && v.length > 0 && v.every((e) => isFields(e) && typeof e["tooth"] === "number");
/** Rows of teeth as fields, since a row is known by its tooth and not by its place. */
const byTooth = (rows: Json): Fields => Object.fromEntries((Array.isArray(rows) ? (rows as (Fields & { tooth: number })[]) : []).map((r) => [String(r.tooth), r]));

/** True when two cases say the same; the order of fields says nothing. */
export function same(a: Json, b: Json): boolean {
  if (isFields(a) && isFields(b)) {
    const names = new Set([...Object.keys(a), ...Object.keys(b)]);
    return [...names].every((name) => same(a[name], b[name]));
  }
  if (Array.isArray(a) && Array.isArray(b)) return a.length === b.length && a.every((e, i) => same(e, b[i]));
  return a === b;
}

/** A case with the changes of both, and the fields in which the one on disk was kept over ours. */
export function merge(base: Json, ours: Json, disk: Json): { merged: Json; lost: string[] } {
  const lost: string[] = [];
  return { merged: both(base, ours, disk, "", lost), lost };
}

function both(base: Json, ours: Json, disk: Json, at: string, lost: string[]): Json {
  if (same(base, ours) || same(ours, disk)) return disk;
  if (same(base, disk)) return ours;
  if (teeth(ours) && teeth(disk)) return Object.values(fields(byTooth(base), byTooth(ours), byTooth(disk), at, lost));
  if (isFields(ours) && isFields(disk)) return fields(isFields(base) ? base : {}, ours, disk, at, lost);
  lost.push(at);
  return disk;
}

function fields(base: Fields, ours: Fields, disk: Fields, at: string, lost: string[]): Fields {
  const out: Fields = {};
  for (const name of new Set([...Object.keys(disk), ...Object.keys(ours)])) {
    const value = both(base[name], ours[name], disk[name], at ? `${at}.${name}` : name, lost);
    if (value !== undefined) out[name] = value;
  }
  return out;
}
