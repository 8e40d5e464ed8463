// What is done for the owner by the pages alone: a visit begun from a book on the shelf, findings told and answered, a visit closed.

import assert from "node:assert/strict";
import { cpSync, mkdirSync } from "node:fs";
import path from "node:path";

import { rested, root, settled, Shop, tick } from "./shop.js";

/** @typedef {import("playwright-core").Page} Page */

/** A shelf with the little book on it. */
export class OwnerShop extends Shop {
  constructor() {
    super();
    const books = path.join(this.folder, "books/wren");
    mkdirSync(books, { recursive: true });
    cpSync(path.join(root, "crates/web/tests/browser/owner"), books, { recursive: true });
    this.more = ["--book", path.join(this.folder, "books"), "--store", path.join(root, "demo/store")];
  }
}

/**
 * Opens a visit by the pages; gives its id.
 * @param {Shop} shop
 * @param {Page} page
 * @param {string} name
 * @param {string} odometer
 * @param {string[]} tasks
 */
export async function begin(shop, page, name, odometer, tasks) {
  await page.goto(shop.at("/begin"));
  await page.tap("li:has-text('Wren') a.other");
  return fillIn(page, name, odometer, tasks);
}

/**
 * Fills in the vehicle's form and plans; gives the visit's id.
 * @param {Page} page
 * @param {string} name
 * @param {string} odometer
 * @param {string[]} tasks
 */
export async function fillIn(page, name, odometer, tasks) {
  await page.fill("input[name=name]", name);
  await page.fill("input[name=odometer]", odometer);
  for (const task of tasks) await page.locator(`input[name=task][value=${task}]`).check();
  await page.tap("button.main");
  await page.waitForURL(/\/v\/[^/]+\/ready/, { timeout: 60_000 });
  return /\/v\/([^/]+)\//.exec(page.url())?.[1] ?? "";
}

/**
 * Ticks until a sheet's sentence or heading fits.
 * @param {Page} page
 * @param {RegExp} until
 */
export async function tickUntil(page, until) {
  for (let n = 0; n < 30; n += 1) {
    if (until.test((await page.textContent(".sheet .sentence, h1")) ?? "")) {
      return;
    }
    await tick(page);
    await settled(page);
  }
  assert.fail(`never came to ${until}: ${await page.textContent(".sheet .sentence, h1")}`);
}

/**
 * Answers a finding.
 * @param {Page} page
 * @param {string} finding
 * @param {string} word
 */
export async function answer(page, finding, word) {
  await rested(page);
  await page.tap(`#findings li:has-text('${finding}') button:has-text('${word}')`);
  await page.tap("dialog form button");
  await page.waitForSelector(`#findings li:has-text('${finding}'):has-text("owner's decision")`);
  await settled(page);
}

/**
 * Reports a finding.
 * @param {Shop} shop
 * @param {Page} page
 * @param {string} visit
 * @param {{words: string, from: string, to: string, left: string, task?: string}} found
 */
export async function find(shop, page, visit, found) {
  await shop.open(page, visit, "tell");
  await page.tap("#findings summary");
  await page.fill("#findings textarea", found.words);
  await page.fill("#findings input[name=from]", found.from);
  await page.fill("#findings input[name=to]", found.to);
  await page.fill("#findings input[name=left]", found.left);
  if (found.task) await page.selectOption("#findings select[name=task]", found.task);
  await page.tap("#findings button.main");
  await page.waitForSelector(`#findings li:has-text('${found.words}')`);
  await settled(page);
}

/**
 * Closes a visit by its ledger.
 * @param {Shop} shop
 * @param {Page} page
 * @param {string} visit
 */
export async function close(shop, page, visit) {
  await shop.open(page, visit, "ledger");
  for (let n = 0; n < 6 && (await page.locator("[data-ask=close]").count()) === 0; n += 1) {
    await rested(page);
    await page.tap("[data-ask=override] >> nth=0");
    await page.fill("dialog input[name=reason]", "as agreed");
    await page.fill("dialog input[name=name]", "test hand");
    await page.tap("dialog form button");
    await settled(page);
  }
  await rested(page);
  await page.tap("[data-ask=close]");
  await page.fill("dialog input[name=name]", "test hand");
  await page.tap("dialog form button");
  await page.waitForFunction(() => !document.querySelector("[data-ask=close]"));
  await settled(page);
}
