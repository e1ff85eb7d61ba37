// What the server answers, in the page's own short names.

import type { components } from "./server.gen";

type Schemas = components["schemas"];
export type Report = Schemas["Report"];
export type Option = Schemas["PlannedOption"];
export type Answer = Schemas["QuestionAnswer"];
export type Interval = Schemas["Interval"];
export type Failure = Schemas["FailureMode"];
export type Curve = Schemas["Curve"];
export type Colour = Schemas["ColourAnswer"];
export type Preparation = Schemas["PreparationAnswer"];
export type Change = Schemas["Change"];
export type Source = Schemas["Source"];

/** A case in the fields of the case file. */
export type Case = { [section: string]: unknown };

/** Something wrong with what was given, for the person who gave it. */
export interface Issue {
  what: string;
  where?: string | null;
  expected?: string | null;
  do?: string | null;
  severity?: string;
}

export interface DefaultUsed {
  field: string;
  assumed: string;
  basis: string;
  source?: string | null;
}

/** One case on disk. */
export interface Sheet {
  id: string;
  revision: number;
  name: string;
  case: Case;
  issues: Issue[];
  defaults: DefaultUsed[];
  can_undo: boolean;
  can_redo: boolean;
  changed: string;
}

export interface SheetInList {
  id: string;
  name: string;
  changed: string;
  example?: boolean;
  subject?: string | null;
  moment?: string | null;
}

export interface Planned {
  report: Report | null;
  needs?: { field: string; words: string; do: string }[];
  took_ms: number;
}

/** One value to be written into a field. */
export interface Setting {
  field: string;
  tooth?: number | null;
  value: unknown;
}

export interface AnswerButton {
  label: string;
  detail?: string | null;
  set: Setting[];
}

export type Kind = "choice" | "many" | "number" | "yes_no" | "tooth" | "teeth" | "order" | "text" | "texts" | "colour" | "section";

/** A field of the case as it is asked. */
export interface FieldAsked {
  field: string;
  tooth?: number | null;
  words: string;
  help?: string | null;
  kind: Kind;
  choices?: { value: unknown; label: string }[];
  unit?: string | null;
  min?: number | null;
  max?: number | null;
  step?: number | null;
  value?: unknown;
  default_words?: string | null;
}

/** A row of the sheet: what is answered in one go. */
export interface Row {
  id: string;
  words: string;
  why?: string | null;
  change?: number | null;
  answered?: boolean;
  said?: string | null;
  answers?: AnswerButton[];
  fields?: FieldAsked[];
}

export interface Next {
  answered: number;
  of: number;
  row: Row | null;
  rest: Row[];
  rows: Row[];
}

export interface ToothWords {
  code: number;
  name: string;
  labels: Record<string, string>;
  jaw: "upper" | "lower";
  class: string;
  md_mm: number;
  bl_mm: number;
  crown_mm: number;
  root_mm: number;
}

export interface Word {
  value: string;
  label: string;
  words?: string;
}

/** How the arch draws a construct: at a missing tooth, at a standing one, and whether neighbours are joined by a bar. */
export interface Drawing {
  drawn_gap: "pontic" | "implant" | "gap";
  drawn_tooth: "crown" | "part" | "none";
  joined: boolean;
}

export interface Words {
  numberings: Word[];
  teeth: ToothWords[];
  materials: Word[];
  builds: Word[];
  constructs: (Word & Drawing)[];
  questions: Word[];
  priorities: Word[];
  bases: Word[];
  causes?: Word[];
  consequences?: Word[];
  /** What can happen to a restoration in the register, and what was done about it. */
  event_kinds?: Word[];
  event_consequences?: Word[];
  tryin_outcomes?: Word[];
  tryin_causes?: Word[];
  tryin_stages?: Word[];
  /** By what results are told apart. */
  groupings?: Word[];
  languages?: Word[];
  lights?: Word[];
  fields: (FieldAsked & { section?: string; stump?: boolean; row?: string | null; matters?: string | null; need?: boolean | string | null })[];
  examples: { name: string; title: string }[];
}
