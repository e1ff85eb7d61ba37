// Held by the compiler: what the server says it answers (openapi.json) fits the short names the page reads it by.

import type { components } from "./server.gen";
import type { AnswerButton, Issue, SheetInList, ToothWords, Word } from "./types";

type Server = components["schemas"];
type Fits<Sent extends Read, Read> = Sent;

export type Agreed = [
  Fits<Server["ToothForm"]["labels"], ToothWords["labels"]>,
  Fits<Pick<Server["ToothForm"], "code" | "name" | "md_mm" | "bl_mm" | "crown_mm" | "root_mm" | "class">, Pick<ToothWords, "code" | "name" | "md_mm" | "bl_mm" | "crown_mm" | "root_mm" | "class">>,
  Fits<Server["ChoiceForm"], Word>,
  Fits<Server["AnswerForm"]["label"], AnswerButton["label"]>,
  Fits<Pick<Server["Problem"], "what" | "where" | "expected" | "do">, Issue>,
  Fits<Pick<Server["SheetForm"], "id" | "revision" | "name" | "can_undo" | "can_redo" | "changed">, { id: string; revision: number; name: string; can_undo: boolean; can_redo: boolean; changed: string }>,
  Fits<Pick<Server["Questions"], "answered" | "of">, { answered: number; of: number }>,
  Fits<Pick<SheetInList, "id" | "name" | "changed">, { id: string; name: string; changed: string }>,
];
