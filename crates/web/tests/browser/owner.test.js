// Two vehicles from the pages alone: readings judged, one finding approved and planned, one refused, one vehicle rolled out; the estimate,
// the owner's report, and what falls due at the next visit; on a phone and on a tablet.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { answer, begin, close, fillIn, find, OwnerShop, tickUntil } from "./owners.js";
import { browser, picture, rested, settled, SIZES } from "./shop.js";

/** @type {import("playwright-core").Browser} */
let chrome;
before(async () => { chrome = await browser(); });
after(async () => { await chrome.close(); });

/**
 * Ticks up to what is measured, and reads and grades all of it well within.
 * @param {import("playwright-core").Page} page
 */
async function measureAndGrade(page) {
  await tickUntil(page, /leak-down/i);
  await page.fill("form.reading input[name=value0]", "8");
  await page.fill("form.reading input[name=value1]", "9");
  await page.tap("form.reading button:has-text('Keep')");
  await page.waitForFunction(() => document.querySelectorAll("form.reading .spot .told.pass").length === 2);
  await rested(page);
  await page.tap("div.reading button:has-text('Clean')");
  await page.waitForSelector("div.reading .told.pass");
  await settled(page);
}

/**
 * When each vehicle is finished, by its letter.
 * @param {import("playwright-core").Page} page
 * @returns {Promise<Record<string, string>>}
 */
async function finishes(page) {
  const all = await page.locator(".finish").allInnerTexts();
  return Object.fromEntries(all.map((text) => [text.slice(0, 1), text.split("\n").slice(0, 2).join(" ")]));
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
      assert.match(estimate, /20 EUR more on average/);
      await picture(page, `${name}-estimate`, true);

      // The cover's seal of the green van is late: one tap on the calendar moves its date and leaves the other's.
      await page.goto(shop.at("/calendar"));
      const before = await finishes(page);
      await page.selectOption("[data-vehicle=B] select", "cover");
      await Promise.all([page.waitForEvent("load"), page.locator("[data-vehicle=B] button", { hasText: "In 3 days" }).first().tap()]);
      const late = await finishes(page);
      const day = (/** @type {string} */ text) => /\d+ [A-Z][a-z]{2}/.exec(text)?.[0];
      assert.notEqual(day(late.B), day(before.B), "its finish is on another day");
      assert.equal(day(late.A), day(before.A), "the other's is not");
      await picture(page, `${name}-part-late`, true);

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
      assert.match(shop.run("ledger", "--visit", grey).out, /the owner wants it done/);
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

      // Back on the lift it is finished and closed as well.
      await shop.open(page, green, "goal");
      await page.tap("button:has-text('Go on with the whole job')");
      await page.waitForURL(/\/bench/, { timeout: 60_000 });
      await settled(page);
      await measureAndGrade(page);
      await tickUntil(page, /Every step is done/);
      await close(shop, page, green);
      await page.goto(shop.at(`/v/${green}/paper/owner`));
      assert.match(String(await page.textContent("body")), /98500 mi/);

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
