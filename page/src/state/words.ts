// The trade's words, from the server: the page keeps no list of its own.

import { computed, signal } from "@preact/signals";
import { ask } from "../api/client";
import type { Drawing, ToothWords, Word, Words } from "../api/types";
import { tell } from "./desk";

export const words = signal<Words | null>(null);

export async function learn(): Promise<void> {
  try {
    words.value = await ask<Words>("/words");
  } catch (error) {
    tell(error);
    setTimeout(() => void learn(), 2000);
  }
}

const kept = localStorage.getItem("bisque-numbering") ?? "iso";
/** Which numbering the arch is drawn with; the files always hold ISO 3950. */
export const numbering = signal(kept);
numbering.subscribe((now) => localStorage.setItem("bisque-numbering", now));

export const teeth = computed((): Map<number, ToothWords> => new Map((words.value?.teeth ?? []).map((t) => [t.code, t])));

/** A tooth's number in the chosen numbering. */
export function number(code: number): string {
  return teeth.value.get(code)?.labels[numbering.value] ?? String(code);
}

/** How the arch draws a construct, by its word; of one that is not known, nothing. */
export function drawing(construct: unknown): Drawing | null {
  return words.value?.constructs.find((c) => c.value === construct) ?? null;
}

/** The label of a word in one of the lists. */
export function label(list: "materials" | "builds" | "constructs" | "questions" | "priorities" | "bases" | "causes" | "consequences" | "event_kinds" | "event_consequences" | "groupings" | "languages", value: string): string {
  const found = (words.value?.[list] as Word[] | undefined)?.find((w) => w.value === value);
  return found?.label ?? value.replaceAll("_", " ");
}
