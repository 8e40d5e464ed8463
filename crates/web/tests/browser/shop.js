// A workshop for a test: the program with a journal of its own, a browser, and a device that is paired.

import { spawn, spawnSync } from "node:child_process";
import { mkdirSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import path from "node:path";
import { fileURLToPath } from "node:url";

import { chromium } from "playwright-core";

/** @typedef {import("playwright-core").Browser} Browser */
/** @typedef {import("playwright-core").Page} Page */

/**
 * What the program answered.
 * @typedef {{code: number | null, out: string, err: string}} Answer
 */

const here = path.dirname(fileURLToPath(import.meta.url));

/** The checkout. */
export const root = path.resolve(here, "../../../..");

/** Most that a command may print, bytes. */
const MAX_OUTPUT_BYTES = 64 * 1024 * 1024;

/** The program; the test command builds it and says where it is. */
export const program = process.env.TRAYWRIGHT ?? path.join(root, "target/debug/traywright");

/** Where pictures of the screen go; empty: none are kept. */
const pictures = process.env.TRAYWRIGHT_PICTURES ?? "";

/** Sizes of a phone upright, a tablet lying, and a computer. */
export const SIZES = {
  phone: { viewport: { width: 390, height: 844 }, isMobile: true, hasTouch: true, deviceScaleFactor: 2 },
  tablet: { viewport: { width: 1180, height: 820 }, isMobile: true, hasTouch: true, deviceScaleFactor: 2 },
  computer: { viewport: { width: 1440, height: 900 } },
};

/** The sizes at which a whole visit is worked by touch. */
export const TOUCH_SIZES = [[390, 844], [360, 640], [1024, 768]].map(([width, height]) =>
  ({ viewport: { width, height }, isMobile: true, hasTouch: true, deviceScaleFactor: 2 }));

/**
 * @param {string[]} more - options of the browser besides
 * @returns {Promise<import("playwright-core").Browser>}
 */
export function browser(...more) {
  return chromium.launch({
    executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
    args: ["--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking", "--disable-sync",
      "--host-resolver-rules=MAP workshop.test 127.0.0.1", ...more],
  });
}

/**
 * Runs the program to its end.
 * @param {string[]} args
 * @returns {Answer}
 */
export function run(...args) {
  const done = spawnSync(program, args, { encoding: "utf8", maxBuffer: MAX_OUTPUT_BYTES });
  return { code: done.status, out: done.stdout, err: done.stderr };
}

/** One journal, and the server on it, which can be killed and started again. */
export class Shop {
  /** @param {{https?: boolean, folder?: string}} how - a folder that is named stays after the test; it has to be there */
  constructor({ https = false, folder } = {}) {
    this.https = https;
    this.folder = folder ?? mkdtempSync(path.join(tmpdir(), "shop-"));
    this.keeps = folder !== undefined;
    this.journal = path.join(this.folder, "test.journal");
    /** @type {import("node:child_process").ChildProcess | null} */
    this.server = null;
    this.port = 0;
    /** @type {string[]} options of the server besides */
    this.more = [];
    this.entry = "";
  }

  /**
   * Runs the program on the journal to its end.
   * @param {string[]} args
   * @returns {Answer}
   */
  run(...args) {
    return run(...args, "--journal", this.journal);
  }

  /**
   * Opens a visit, on the little book unless another is named; returns its id.
   * @param {string} [book]
   */
  begin(book) {
    const store = path.join(root, "demo/store");
    const { code, out, err } = this.run("visit", "new", "--book", book ? path.join(root, book) : path.join(here, "little"), "--store", store, "--name", "test bus", "--seconds", "5");
    const id = /id +(\S+)/.exec(out)?.[1];
    if (code !== 0 || !id) {
      throw new Error(`no visit: ${out}${err}`);
    }
    return id;
  }

  /** Starts the server; the first time on a free port, then on the same. */
  async start() {
    const how = this.https ? ["--https"] : [];
    const server = spawn(program, ["serve", "--port", String(this.port), "--journal", this.journal, ...how, ...this.more], { stdio: ["ignore", "pipe", "inherit"] });
    this.server = server;
    const address = await new Promise((resolve, reject) => {
      let text = "";
      server.stdout.on("data", (chunk) => {
        text += chunk;
        const found = /https?:\/\/127\.0\.0\.1:(\d+)\/enter\?code=\S+/.exec(text);
        if (found) resolve(found);
      });
      server.on("exit", (code) => reject(new Error(`the server ended with ${code}: ${text}`)));
    });
    this.port = Number(address[1]);
    this.entry = address[0];
  }

  /** Kills the server as a pulled plug would. */
  async kill() {
    await this.#end("SIGKILL");
  }

  /** Ends the server as Ctrl-C does; gives its exit code. */
  async stop() {
    return this.#end("SIGINT");
  }

  /**
   * @param {NodeJS.Signals} signal
   * @returns {Promise<number | null>}
   */
  async #end(signal) {
    const server = this.server;
    if (server && server.exitCode === null) {
      server.removeAllListeners("exit");
      server.once("exit", () => undefined);
      server.kill(signal);
      await new Promise((resolve) => { if (server.exitCode !== null || server.signalCode !== null) resolve(null); else server.once("exit", resolve); });
    }
    this.server = null;
    return server?.exitCode ?? null;
  }

  async close() {
    await this.kill();
    if (!this.keeps) {
      rmSync(this.folder, { recursive: true, force: true });
    }
  }

  /** @param {string} way */
  at(way) {
    return `${this.https ? "https" : "http"}://127.0.0.1:${this.port}${way}`;
  }

  /**
   * A page of a device that is paired.
   * @param {import("playwright-core").Browser} from
   * @param {object} size
   * @param {string} name
   */
  async device(from, size, name) {
    const context = await from.newContext(size);
    const page = await context.newPage();
    page.on("pageerror", (error) => { throw error; });
    await page.goto(this.entry);
    await page.fill("input[name=name]", name);
    await page.click("button.main");
    await page.waitForURL(this.at("/"));
    return page;
  }

  /**
   * A page of a second device, let in by the code that the first one asks for.
   * @param {import("playwright-core").Browser} from
   * @param {import("playwright-core").Page} first
   * @param {object} size
   * @param {string} name
   */
  async another(from, first, size, name) {
    await first.goto(this.at("/devices"));
    await first.click("form[action='/devices'] button");
    await picture(first, "phone-devices");
    this.entry = this.at(`/enter?code=${(await first.textContent("p.big"))?.trim()}`);
    return this.device(from, size, name);
  }

  /**
   * Opens a sheet of a visit and waits until it is alive.
   * @param {import("playwright-core").Page} page
   * @param {string} visit
   * @param {string} sheet
   */
  async open(page, visit, sheet) {
    await page.goto(this.at(`/v/${visit}/${sheet}`));
    await settled(page);
  }
}

/** Longest stretch of a page that a picture holds, px: the browser takes no longer ones at these sizes. */
const LONGEST_PX = 4000;

/**
 * Keeps a picture of the screen where pictures are wanted.
 * @param {import("playwright-core").Page} page
 * @param {string} name
 * @param {boolean} [fullPage] - what is to be scrolled to as well
 */
export async function picture(page, name, fullPage = false) {
  if (pictures) {
    mkdirSync(pictures, { recursive: true });
    await keepPicture(page, path.join(pictures, `${name}.png`), fullPage);
  }
}

/**
 * Writes a picture of the screen into a file.
 * @param {Page} page
 * @param {string} file
 * @param {boolean} [fullPage] - what is to be scrolled to as well
 */
export async function keepPicture(page, file, fullPage = false) {
  const size = await page.evaluate(() => ({ width: document.documentElement.clientWidth, height: document.documentElement.scrollHeight }));
  const clip = fullPage ? { x: 0, y: 0, width: size.width, height: Math.min(size.height, LONGEST_PX) } : undefined;
  await page.screenshot({ path: file, fullPage, clip });
}

/**
 * Waits until a page's script runs and everything is sent.
 * @param {import("playwright-core").Page} page
 */
export async function settled(page) {
  await page.waitForFunction(() => document.documentElement.dataset.ready === "yes" && !document.documentElement.dataset.busy);
  await page.waitForFunction(() => document.querySelector("#waiting-count")?.textContent === "0");
  await rested(page);
}

/**
 * Waits until what writes has rested after a change of the sheet.
 * @param {Page} page
 */
export async function rested(page) {
  await page.waitForFunction(() => document.documentElement.dataset.resting === undefined);
}

/**
 * Taps the main button and waits until the page shows something else; gives what the button said.
 * @param {Page} page
 * @returns {Promise<string>}
 */
export async function tick(page) {
  const label = (await page.textContent(".sheet .main")) ?? "";
  const step = await page.getAttribute(".sheet", "data-step");
  await rested(page);
  await page.tap(".sheet .main:not([disabled])");
  await page.waitForFunction(([l, s]) => {
    const main = document.querySelector(".sheet .main");
    const sheet = /** @type {HTMLElement | null} */ (document.querySelector(".sheet"));
    return document.querySelector(".sheet") === null || main?.textContent !== l || sheet?.dataset.step !== s;
  }, [label, step]);
  return label;
}
