// Asking the server. Every answer that is not the one wanted becomes a `Trouble`: what happened, what is safe, what to do.

import type { Issue } from "./types";

/** A request that did not get what it asked for. */
export class Trouble extends Error {
  constructor(
    readonly issue: Issue,
    /** HTTP status; 0 when the program did not answer at all. */
    readonly status: number,
  ) {
    super(issue.what);
  }

  /** True when nobody answered: what was asked may be tried again as it is. */
  get away(): boolean {
    return this.status === 0;
  }
}

const AWAY: Issue = {
  what: "The program does not answer.",
  expected: "Everything answered so far is on disk; what you give now is held in this page.",
  do: "Start `bisque serve` again. The page carries on by itself.",
};

export interface Ask {
  method?: "GET" | "POST" | "PUT" | "DELETE";
  /** Sent as JSON. */
  body?: unknown;
  /** Sent as it is. */
  raw?: Blob;
  headers?: Record<string, string>;
  signal?: AbortSignal;
}

async function send(path: string, ask: Ask): Promise<Response> {
  const method = ask.method ?? "GET";
  const headers: Record<string, string> = { accept: "application/json", ...ask.headers };
  if (method !== "GET") headers["x-bisque"] = "1";
  if (ask.body !== undefined) headers["content-type"] = "application/json";
  const body = ask.raw ?? (ask.body === undefined ? undefined : JSON.stringify(ask.body));
  let response: Response;
  try {
    response = await fetch(`/api${path}`, { method, headers, body, signal: ask.signal, credentials: "same-origin", cache: "no-store" });
  } catch (error) {
    if (error instanceof DOMException && error.name === "AbortError") throw error;
    throw new Trouble(AWAY, 0);
  }
  if (response.ok) return response;
  let issue: Issue = { what: `The program answered ${response.status}.`, do: "Try again; if it stays so, keep the sheet's file and report it." };
  try {
    const said = (await response.json()) as Issue | { issues: Issue[] };
    const one = "issues" in said ? said.issues[0] : said;
    if (one?.what) issue = one;
  } catch {
    // Not a message of ours: the general one stands.
  }
  throw new Trouble(issue, response.status);
}

/** Asks and reads JSON. */
export async function ask<T>(path: string, how: Ask = {}): Promise<T> {
  const response = await send(path, how);
  return response.status === 204 ? (undefined as T) : ((await response.json()) as T);
}

/** Asks and reads text, for pictures. */
export async function askText(path: string, how: Ask = {}): Promise<string> {
  return (await send(path, { ...how, headers: { accept: "image/svg+xml, text/html, text/plain", ...how.headers } })).text();
}

/** Asks and reads bytes, for meshes. */
export async function askBytes(path: string, how: Ask = {}): Promise<ArrayBuffer> {
  return (await send(path, { ...how, headers: { accept: "application/octet-stream", ...how.headers } })).arrayBuffer();
}
