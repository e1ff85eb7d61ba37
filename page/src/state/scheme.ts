// Light, dark, or as the machine says.

import { effect, signal } from "@preact/signals";

export type Scheme = "auto" | "light" | "dark";
const KEY = "bisque-scheme";
const kept = localStorage.getItem(KEY);
export const scheme = signal<Scheme>(kept === "light" || kept === "dark" ? kept : "auto");

effect(() => {
  localStorage.setItem(KEY, scheme.value);
  if (scheme.value === "auto") delete document.documentElement.dataset["scheme"];
  else document.documentElement.dataset["scheme"] = scheme.value;
});

export function turn(): void {
  const dark = matchMedia("(prefers-color-scheme: dark)").matches;
  const now = scheme.value === "auto" ? (dark ? "dark" : "light") : scheme.value;
  scheme.value = now === "dark" ? "light" : "dark";
}
