// Two vehicles from the pages alone: readings judged, one finding approved and planned, one refused, one vehicle rolled out; the estimate,
// the owner's report, and what falls due at the next visit; on a phone and on a tablet.

import assert from "node:assert/strict";
import { mkdirSync, cpSync } from "node:fs";
import path from "node:path";
import { after, before, test } from "node:test";

import { browser, picture, rested, root, settled, Shop, SIZES, tick } from "./shop.js";

/** @type {import("playwright-core").Browser} */
let chrome;
before(async () => { chrome = await browser(); });
after(async () => { await chrome.close(); });

/** @typedef {import("playwright-core").Page} Page */

/** A shelf with the little book on it. */
class OwnerShop extends Shop {
  constructor() {
    super();
    const books = path.join(this.folder, "books/wren");
    mkdirSync(books, { recursive: true });
    cpSync(path.join(root, "crates/web/tests/browser/owner"), books, { recursive: true });
    this.more = ["--books", path.join(this.folder, "books"), "--store", path.join(root, "demo/store")];
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
async function begin(shop, page, name, odometer, tasks) {
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
async function fillIn(page, name, odometer, tasks) {
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
async function tickUntil(page, until) {
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
async function answer(page, finding, word) {
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
async function find(shop, page, visit, found) {
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

for (const [size, name] of /** @type {[object, string][]} */ ([[SIZES.phone, "phone"], [SIZES.tablet, "tablet"]])) {
  test(`two vehicles and their owners on a ${name}`, { timeout: 300_000 }, async () => {
    const shop = new OwnerShop();
    try {
      await shop.start();
      const page = await shop.device(chrome, size, name);

      // What an hour costs, and what stands under every estimate.
      await page.goto(shop.at("/workshop"));
      await page.fill("input[name=rate]", "seventy");
      await page.tap("button.main");
      await page.waitForSelector("text=is no price");
      await page.fill("input[name=rate]", "72,50");
      await page.fill("textarea[name=words]", "Binding for four weeks; we call before it costs a tenth more.");
      await page.tap("button.main");
      await page.waitForFunction(() => /** @type {HTMLInputElement} */ (document.querySelector("input[name=rate]")).value === "72.50");
      await picture(page, `${name}-workshop`, true);

      const grey = await begin(shop, page, "the grey bus", "240000 km", ["look-inside"]);
      const green = await begin(shop, page, "the green van", "98500 mi", ["look-inside", "look-behind"]);

      // The estimate of the grey bus, with what may turn up.
      await shop.open(page, grey, "tell");
      await page.tap("#risks summary");
      await page.fill("#risks input[name=words]", "a cover bolt breaks");
      await page.fill("#risks input[name=chance]", "20");
      await page.fill("#risks input[name=from]", "60");
      await page.fill("#risks input[name=to]", "140");
      await page.tap("#risks button:has-text('Keep it')");
      await page.waitForSelector("#risks li:has-text('20 in 100')");
      await settled(page);
      await picture(page, `${name}-tell`, true);
      await page.goto(shop.at(`/v/${grey}/paper/estimate`));
      const estimate = String(await page.textContent("body"));
      assert.match(estimate, /Binding for four weeks/);
      assert.match(estimate, /a cover bolt breaks/i);
      assert.match(estimate, /20\.00 EUR more on average/);
      await picture(page, `${name}-estimate`, true);

      // Both are taken apart in turns, up to what is measured.
      for (const [visit, until] of /** @type {[string, RegExp][]} */ ([[grey, /leak-down/i], [green, /joint behind the wheel|leak-down/i]])) {
        await shop.open(page, visit, "bench");
        await tickUntil(page, until);
      }

      // All places of one measure go in at once; what lies near its limit is called so.
      await shop.open(page, grey, "bench");
      await page.fill("form.reading input[name=value0]", "12");
      await page.fill("form.reading input[name=value1]", "19");
      await page.tap("form.reading button:has-text('Keep')");
      await page.waitForSelector("form.reading .told.close");
      assert.match(String(await page.textContent("form.reading")), /too close to call/i);
      await page.waitForSelector("text=12 %");
      await settled(page);
      await picture(page, `${name}-board`, true);
      await page.fill("form.reading input[name=value1]", "17,5");
      await page.uncheck("form.reading input[name=once_more]");
      await page.tap("form.reading button:has-text('Read again')");
      await page.waitForFunction(() => document.querySelectorAll("form.reading .spot .told.pass").length === 2);
      await rested(page);
      await page.tap("div.reading button:has-text('Crusted')");
      await page.waitForSelector("div.reading .told.close");
      await settled(page);
      await page.tap("div.reading button:has-text('Crusted')");
      await page.waitForSelector("div.reading .told.fail");
      await settled(page);
      await picture(page, `${name}-graded`, true);

      // One finding is approved, and its task planned with one tap; one is refused.
      await find(shop, page, grey, { words: "seal of the cover is hard", from: "12.50", to: "40", left: "it leaks oil", task: "renew-seal" });
      await find(shop, page, grey, { words: "ports are crusted", from: "180", to: "260", left: "it uses more fuel" });
      await answer(page, "seal of the cover", "Do it");
      await answer(page, "ports are crusted", "Leave it");
      assert.match(shop.run("ledger", grey).out, /the owner wants it done/);
      await picture(page, `${name}-answered`, true);
      await rested(page);
      await page.tap("#findings button:has-text('Plan it now')");
      await page.waitForURL(/\/bench/, { timeout: 60_000 });
      await settled(page);

      // The green van has to roll out: its ledger says what stands against it, and the way is planned.
      await shop.open(page, green, "ledger");
      await page.tap("form.roll button");
      await page.waitForURL(/\/bench/, { timeout: 60_000 });
      await settled(page);
      await tickUntil(page, /Every step is done/);
      await shop.open(page, green, "ledger");
      assert.match(String(await page.textContent(".verdicts")), /may be movedyes/i);
      await picture(page, `${name}-rolled-out`, true);

      // The grey bus is finished, closed and reported.
      await shop.open(page, grey, "bench");
      await tickUntil(page, /Every step is done/);
      await close(shop, page, grey);
      await page.goto(shop.at(`/v/${grey}/paper/owner`));
      const report = String(await page.textContent("body"));
      for (const words of [/17\.5 %/, /seal of the top cover/i, /ports are crusted/i, /crusted/, /240000 km/]) {
        assert.match(report, words);
      }
      assert.match(report, /Work and parts|seal of the cover is hard.*12\.50 EUR.*40\.00 EUR/is);
      await picture(page, `${name}-owner`, true);

      // Next year: what falls due, and one tap makes it a task.
      await page.goto(shop.at("/vehicles?find=crusted"));
      await page.tap("a:has-text('the grey bus')");
      await page.waitForSelector("h1:has-text('the grey bus')");
      const history = String(await page.textContent("main"));
      assert.match(history, /left by the owner's word/);
      assert.match(history, /at 340000 km/i);
      await picture(page, `${name}-vehicle`, true);
      await page.fill("form[action$=odometer] input[name=odometer]", "301000 km");
      await page.tap("form[action$=odometer] button");
      await page.waitForSelector("li:has-text('look into the ports'):has-text('Due since')");
      assert.ok(await page.locator("input[name=task][value=look-inside]").isChecked());
      await page.tap("button:has-text('New visit with what is ticked')");
      await page.tap("li:has-text('Wren') a.other");
      assert.ok(await page.locator("input[name=task][value=look-inside]").isChecked());
      assert.equal(await page.inputValue("input[name=name]"), "the grey bus");
      const second = await fillIn(page, "the grey bus", "301000 km", ["look-inside"]);
      await page.goto(shop.at("/vehicles?find=grey"));
      assert.match(String(await page.textContent("main")), /2 visits/);
      assert.notEqual(second, grey);
    } finally {
      await shop.close();
    }
  });
}

/**
 * Closes a visit by its ledger.
 * @param {Shop} shop
 * @param {Page} page
 * @param {string} visit
 */
async function close(shop, page, visit) {
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
