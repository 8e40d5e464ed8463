// The world of the golden day: one workshop, its server, its devices and folders, what has been asserted, and pictures of it all.

import assert from "node:assert/strict";
import { mkdirSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import path from "node:path";
import { stripVTControlCharacters } from "node:util";

import { browser, keepPicture, root, run, Shop, SIZES } from "../../crates/web/tests/browser/shop.js";
import { Tally } from "./tally.js";

/** @typedef {import("../../crates/web/tests/browser/shop.js").Answer} Answer */
/** @typedef {import("../../crates/web/tests/browser/shop.js").Browser} Browser */
/** @typedef {import("../../crates/web/tests/browser/shop.js").Page} Page */

/**
 * One chapter of the story. Its file is named by the time at which it begins, so that the files lie in the order of the day.
 * @typedef {{title: string, story: string, live: (day: World) => Promise<void>}} Chapter
 */

/** Where pictures and files of the day are left. */
export const LEFT = path.join(root, "target/golden-day");

/** The devices of the day: a phone upright, a small tablet lying. */
export const DEVICES = {
  phone: SIZES.phone,
  tablet: { viewport: { width: 1024, height: 768 }, isMobile: true, hasTouch: true, deviceScaleFactor: 2 },
};

/** Most lines of one command that a picture of the terminal shows. */
const MAX_TERMINAL_LINES = 40;

/** What the chapters share. */
export class World {
  constructor() {
    rmSync(LEFT, { recursive: true, force: true });
    this.folder = path.join(LEFT, "workshop");
    mkdirSync(this.folder, { recursive: true });
    this.shop = new Shop({ folder: this.folder });
    this.book = path.join(root, "demo/books/tern-24");
    this.store = path.join(root, "demo/store");
    /** The task of the day. */
    this.task = "renew-thermostat";
    /** Limit of each planning, seconds. */
    this.seconds = "2";
    /** Id of the visit, once it is open. */
    this.visit = "";
    /** What is off, counted apart from the program. */
    this.tally = new Tally();
    /** Every fact that a chapter leaves for a later one, by its name. @type {Map<string, string>} */
    this.facts = new Map();
    /** @type {Map<string, Page>} */
    this.pages = new Map();
    /** Errors of the pages' scripts. @type {string[]} */
    this.errors = [];
    /** Names of the pictures taken. @type {string[]} */
    this.pictures = [];
    /** Lines of the story as they were printed. @type {string[]} */
    this.lines = [];
    /** What was typed and answered in this chapter. @type {string[]} */
    this.typed = [];
    this.time = "00:00";
    this.checks = { must: 0, mustNot: 0 };
    /** @type {Browser | null} */
    this.chrome = null;
  }

  async open() {
    this.chrome = await browser();
  }

  /**
   * Prints a line of the story.
   * @param {string} line
   */
  tell(line) {
    console.log(line);
    this.lines.push(line);
  }

  /**
   * What must hold.
   * @param {string} words
   * @param {unknown} isSo
   * @param {unknown} [seen] - shown where it does not hold
   */
  must(words, isSo, seen) {
    assert.ok(isSo, `${this.time} must hold: ${words}${seen === undefined ? "" : `; seen: ${JSON.stringify(seen, null, 1)}`}`);
    this.checks.must += 1;
    this.tell(`         holds: ${words}`);
  }

  /**
   * What must hold, as two values that are equal.
   * @param {string} words
   * @param {unknown} seen
   * @param {unknown} wanted
   */
  equal(words, seen, wanted) {
    assert.deepEqual(seen, wanted, `${this.time} must hold: ${words}`);
    this.checks.must += 1;
    this.tell(`         holds: ${words}`);
  }

  /**
   * What must not hold.
   * @param {string} words
   * @param {unknown} isSo
   * @param {unknown} [seen] - shown where it holds
   */
  mustNot(words, isSo, seen) {
    assert.ok(!isSo, `${this.time} must not hold: ${words}${seen === undefined ? "" : `; seen: ${JSON.stringify(seen, null, 1)}`}`);
    this.checks.mustNot += 1;
    this.tell(`         never: ${words}`);
  }

  /**
   * A file of the workshop's folder.
   * @param {string} name
   */
  file(name) {
    return path.join(this.folder, name);
  }

  /** The files of the workshop's folder, sorted. */
  files() {
    return readdirSync(this.folder).sort();
  }

  /**
   * Runs the program to its end; what it needs of the journal is left to `runOnJournal`.
   * @param {string[]} args
   */
  run(...args) {
    return this.#typed(args, run(...args));
  }

  /**
   * Runs the program on the workshop's journal to its end.
   * @param {string[]} args
   */
  runOnJournal(...args) {
    return this.#typed(args, this.shop.run(...args));
  }

  /**
   * @param {string[]} args
   * @param {Answer} answer
   */
  #typed(args, answer) {
    const shown = args.map((word) => (/[\s"]/.test(word) ? JSON.stringify(word) : word.replace(`${this.folder}/`, "").replace(`${root}/`, "")));
    const lines = stripVTControlCharacters(`${answer.out}${answer.err}`).trimEnd().split("\n");
    const cut = lines.length > MAX_TERMINAL_LINES ? [...lines.slice(0, MAX_TERMINAL_LINES), `… ${lines.length - MAX_TERMINAL_LINES} more lines`] : lines;
    this.typed.push(`$ traywright ${shown.join(" ")}`, ...cut.map((line) => line.slice(0, 200)), `(exit code ${answer.code})`, "");
    return answer;
  }

  /**
   * The page of a device of the day.
   * @param {string} name
   * @returns {Page}
   */
  page(name) {
    const page = this.pages.get(name);
    assert.ok(page, `the ${name} is paired in an earlier chapter`);
    return page;
  }

  /**
   * Keeps a picture of a page, named by time, what it shows and the device.
   * @param {string} device
   * @param {string} what
   * @param {boolean} [fullPage]
   */
  async picture(device, what, fullPage = false) {
    await this.#keep(this.page(device), `${what}-${device}`, fullPage);
  }

  /**
   * Keeps a picture of a page that is none of the day's devices.
   * @param {Page} page
   * @param {string} what
   */
  async pictureOf(page, what) {
    await this.#keep(page, what, true);
  }

  /**
   * Keeps a picture of a file that opens in a browser.
   * @param {string} file
   * @param {string} what
   */
  async pictureOfFile(file, what) {
    await this.#picturedApart((page) => page.goto(`file://${file}`), what);
  }

  /** Keeps a picture of what was typed in this chapter. */
  async pictureOfTerminal() {
    const text = this.typed.join("\n").replaceAll("&", "&amp;").replaceAll("<", "&lt;");
    const page = `<body style="margin:16px;font:14px/1.35 monospace;white-space:pre-wrap">${text}</body>`;
    await this.#picturedApart((shown) => shown.setContent(page), "terminal");
  }

  /**
   * @param {(page: Page) => Promise<unknown>} fill
   * @param {string} what
   */
  async #picturedApart(fill, what) {
    const context = await this.#chrome().newContext({ viewport: { width: 820, height: 1160 } });
    const page = await context.newPage();
    await fill(page);
    await this.#keep(page, what, true);
    await context.close();
  }

  /**
   * @param {Page} page
   * @param {string} what
   * @param {boolean} fullPage
   */
  async #keep(page, what, fullPage) {
    const name = `${this.time.replace(":", "")}-${what}.png`;
    await keepPicture(page, path.join(LEFT, name), fullPage);
    this.pictures.push(name);
  }

  #chrome() {
    assert.ok(this.chrome, "the browser is open from the morning to the evening");
    return this.chrome;
  }

  /**
   * Pairs a device of the day by the code that the server, or a device that is in, shows.
   * @param {keyof typeof DEVICES} name
   * @param {string} [by] - the device that lets it in; without it, the computer's own screen does
   */
  async pair(name, by) {
    const page = by
      ? await this.shop.another(this.#chrome(), this.page(by), DEVICES[name], name)
      : await this.shop.device(this.#chrome(), DEVICES[name], name);
    page.on("pageerror", (error) => this.errors.push(`${this.time} ${name}: ${error.message}`));
    this.pages.set(name, page);
  }

  /**
   * A browser that nobody has let in.
   * @param {keyof typeof DEVICES} size
   * @returns {Promise<Page>}
   */
  async stranger(size) {
    const context = await this.#chrome().newContext(DEVICES[size]);
    return context.newPage();
  }

  async close() {
    writeFileSync(path.join(LEFT, "story.txt"), `${this.lines.join("\n")}\n`);
    await this.chrome?.close();
    await this.shop.close();
  }
}
