// Where the reader is: `#/`, `#/sheet/ID`, `#/sheet/ID/papers`, `#/evidence`, `#/register`. Nothing of a patient stands in it.

import { computed, signal } from "@preact/signals";

const here = () => location.hash.replace(/^#\/?/, "").split("/").filter(Boolean);
const parts = signal(here());
addEventListener("hashchange", () => (parts.value = here()));

export type Room = "home" | "sheet" | "papers" | "evidence" | "register";

export const route = computed((): { room: Room; id: string | null } => {
  const [first, id, third] = parts.value;
  if (first === "sheet" && id) return { room: third === "papers" ? "papers" : "sheet", id };
  if (first === "evidence" || first === "register") return { room: first, id: null };
  return { room: "home", id: null };
});

/** Address of a room. */
export function address(room: Room, id?: string | null): string {
  if (room === "sheet") return `#/sheet/${id}`;
  if (room === "papers") return `#/sheet/${id}/papers`;
  return room === "home" ? "#/" : `#/${room}`;
}

export function go(room: Room, id?: string | null): void {
  location.hash = address(room, id);
}
