// A desk for a test: the built program serving a folder of its own, and a browser on it.

import { spawn, type ChildProcess } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { createServer } from "node:net";
import type { Browser, Page } from "playwright-core";

export interface Desk {
  browser: Browser;
  base: string;
  folder: string;
  program: string;
  port: number;
  server: Server;
}

/** The server of a test; can be killed and started again on the same folder. */
export class Server {
  private child: ChildProcess | null = null;
  log = "";

  constructor(private readonly program: string, readonly folder: string, readonly port: number) {}

  async start(): Promise<void> {
    const args = ["serve", "--port", String(this.port), "--cases", join(this.folder, "cases"), "--store", join(this.folder, "register.bisque")];
    const child = spawn(this.program, args, { cwd: this.folder, stdio: ["ignore", "pipe", "pipe"], env: { ...process.env, BISQUE_WHO: "test" } });
    this.child = child;
    for (const stream of [child.stdout, child.stderr]) stream?.on("data", (data) => (this.log += data));
    for (let i = 0; i < 300; i++) {
      const up = await fetch(`http://127.0.0.1:${this.port}/`).then((r) => r.ok).catch(() => false);
      if (up) return;
      if (child.exitCode !== null) break;
      await wait(50);
    }
    throw new Error(`the server did not come up: ${this.log}`);
  }

  /** Ends it without warning, as a power cut would. */
  kill(): Promise<void> {
    const child = this.child;
    this.child = null;
    if (!child || child.exitCode !== null) return Promise.resolve();
    return new Promise((resolve) => {
      child.once("exit", () => resolve());
      child.kill("SIGKILL");
    });
  }
}

export const wait = (ms: number) => new Promise<void>((resolve) => setTimeout(resolve, ms));

export async function freePort(): Promise<number> {
  return new Promise((resolve, reject) => {
    const probe = createServer();
    probe.once("error", reject);
    probe.listen(0, "127.0.0.1", () => {
      const address = probe.address();
      probe.close(() => (typeof address === "object" && address ? resolve(address.port) : reject(new Error("no port"))));
    });
  });
}

export async function desk(browser: Browser, program: string): Promise<Desk> {
  const folder = mkdtempSync(join(tmpdir(), "bisque-page-"));
  const port = await freePort();
  const server = new Server(program, folder, port);
  await server.start();
  return { browser, base: `http://127.0.0.1:${port}`, folder, program, port, server };
}

export async function clear(on: Desk): Promise<void> {
  await on.server.kill();
  rmSync(on.folder, { recursive: true, force: true });
}

/** Asks the server from outside the browser. */
export async function api<T>(on: Desk, path: string, method = "GET", body?: unknown, headers: Record<string, string> = {}): Promise<T> {
  const response = await fetch(`${on.base}/api${path}`, {
    method,
    headers: { "x-bisque": "1", ...(body === undefined ? {} : { "content-type": "application/json" }), ...headers },
    body: body === undefined ? undefined : JSON.stringify(body),
  });
  if (!response.ok) throw new Error(`${method} ${path}: ${response.status} ${await response.text()}`);
  return response.status === 204 ? (undefined as T) : ((await response.json()) as T);
}

const dist = process.argv.find((a) => a.startsWith("--dist="))?.slice(7);
const TYPES: Record<string, string> = { html: "text/html; charset=utf-8", js: "text/javascript", css: "text/css", woff2: "font/woff2" };

/** With `--dist=FOLDER`: the page from a folder instead of the one the program carries, under the program's own policy. */
async function fromFolder(on: Desk, page: Page): Promise<void> {
  if (!dist) return;
  const policy = (await fetch(`${on.base}/`)).headers.get("content-security-policy") ?? "";
  await page.route((url) => url.origin === on.base && !url.pathname.startsWith("/api"), (route) => {
    const name = new URL(route.request().url()).pathname.replace(/^\/$/, "/index.html");
    const body = readFileSync(join(dist, name));
    return route.fulfill({ body, contentType: TYPES[name.split(".").pop() ?? ""] ?? "text/plain", headers: { "content-security-policy": policy } });
  });
}

/** A page on which errors of the script are failures of the test, and requests to anyone else too. */
export async function open(on: Desk, address = "/", more: { width?: number; height?: number; dark?: boolean; still?: boolean; touch?: boolean } = {}): Promise<Page> {
  const page = await on.browser.newPage({
    viewport: { width: more.width ?? 1280, height: more.height ?? 800 },
    colorScheme: more.dark ? "dark" : "light",
    reducedMotion: more.still ? "reduce" : "no-preference",
    hasTouch: more.touch ?? false,
    isMobile: more.touch ?? false,
  });
  const wrong: string[] = [];
  page.on("pageerror", (error) => wrong.push(error.message));
  page.on("console", (message) => { if (message.type() === "error" && !/Failed to load resource/.test(message.text())) wrong.push(message.text()); });
  page.on("request", (request) => { if (!request.url().startsWith(on.base) && !/^(data|blob|about):/.test(request.url())) wrong.push(`asked a stranger: ${request.url()}`); });
  (page as Page & { wrong: string[] }).wrong = wrong;
  await page.addInitScript(() => { window.print = () => { (window as unknown as { printed: number }).printed = ((window as unknown as { printed?: number }).printed ?? 0) + 1; }; });
  await fromFolder(on, page);
  await page.goto(`${on.base}${address}`);
  return page;
}

/** What went wrong in the page meanwhile. */
export const wrong = (page: Page): string[] => (page as Page & { wrong: string[] }).wrong;
