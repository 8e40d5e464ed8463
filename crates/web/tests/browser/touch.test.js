// By touch: a second tap, a tap under a change from another device, a message, a named hole, a form, taking back. What was not
// meant is not ticked, what was written is not lost, and nothing blocks the page.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { browser, rested, settled, Shop, SIZES, tick } from "./shop.js";

/** @typedef {import("playwright-core").Page} Page */

/** @type {import("playwright-core").Browser} */
let chrome;
before(async () => { chrome = await browser(); });
after(async () => { await chrome.close(); });

/** @param {Page} page */
const stepOf = (page) => page.getAttribute(".sheet", "data-step");

/**
 * Taps a place of the screen with a finger, whatever lies there.
 * @param {Page} page
 * @param {{x: number, y: number}} at
 */
async function touch(page, at) {
  await page.touchscreen.tap(at.x, at.y);
}

/** @param {Page} page @param {string} selector */
async function middle(page, selector) {
  const box = await page.locator(selector).first().boundingBox();
  assert.ok(box, selector);
  return { x: box.x + box.width / 2, y: box.y + box.height / 2 };
}

/**
 * How many marks and other entries of the work the journal holds, undone ones left out, as the ledger of programs counts steps.
 * @param {Shop} shop
 * @param {string} visit
 */
function done(shop, visit) {
  const { out } = shop.run("visit", "show", visit);
  return Number(/steps +(\d+) of \d+ done/.exec(out)?.[1] ?? NaN);
}

/**
 * How many steps one tap on the sheet that is shown does: a part may come off with its last screws.
 * @param {Page} page
 */
async function stepsOfSheet(page) {
  const found = /(\d+)(?: to (\d+))? of/.exec((await page.textContent("[data-cell=step]")) ?? "");
  assert.ok(found);
  return Number(found[2] ?? found[1]) - Number(found[1]) + 1;
}

for (const between_ms of [60, 150, 300, 450]) {
  test(`two taps ${between_ms} ms apart tick one step`, { timeout: 120_000 }, async () => {
    const shop = new Shop();
    try {
      const visit = shop.begin("demo/books/tern-24");
      await shop.start();
      const page = await shop.device(chrome, SIZES.phone, "phone");
      await shop.open(page, visit, "bench");
      const before = done(shop, visit);
      assert.equal(before, 0);
      let count = 0;
      for (let round = 1; round <= 3; round += 1) {
        count += await stepsOfSheet(page);
        const main = await middle(page, ".sheet .main");
        await touch(page, main);
        await page.waitForTimeout(between_ms);
        await touch(page, main);
        await page.waitForTimeout(300);
        await settled(page);
        assert.equal(done(shop, visit), count, `after ${round} double taps`);
      }
    } finally {
      await shop.close();
    }
  });
}

test("a tap counts for the sheet on which the finger went down, while another device ticks", { timeout: 180_000 }, async () => {
  const shop = new Shop();
  try {
    const visit = shop.begin("demo/books/tern-24");
    await shop.start();
    const phone = await shop.device(chrome, SIZES.phone, "phone");
    const tablet = await shop.another(chrome, phone, SIZES.tablet, "tablet");
    for (const page of [phone, tablet]) {
      await shop.open(page, visit, "bench");
    }
    let count = 0;
    for (const between_ms of [0, 50, 100, 200, 400]) {
      assert.equal(await stepOf(phone), await stepOf(tablet));
      count += await stepsOfSheet(phone);
      const [a, b] = [await middle(phone, ".sheet .main"), await middle(tablet, ".sheet .main")];
      const first = touch(phone, a);
      await tablet.waitForTimeout(between_ms);
      await touch(tablet, b);
      await first;
      await phone.waitForTimeout(900);
      await Promise.all([settled(phone), settled(tablet)]);
      assert.equal(done(shop, visit), count, `taps ${between_ms} ms apart`);
      await tablet.waitForFunction((step) => document.querySelector(".sheet")?.getAttribute("data-step") === step, await stepOf(phone));
    }
    // A finger that is down when the other device ticks: the sheet stays under it, and its tap is for that sheet.
    const held = await stepOf(tablet);
    count += await stepsOfSheet(tablet);
    const at = await middle(tablet, ".sheet .main");
    const touchscreen = await tablet.context().newCDPSession(tablet);
    await touchscreen.send("Input.dispatchTouchEvent", { type: "touchStart", touchPoints: [at] });
    await tick(phone);
    await tablet.waitForTimeout(600);
    assert.equal(await stepOf(tablet), held, "the sheet is not swapped under the finger");
    await touchscreen.send("Input.dispatchTouchEvent", { type: "touchEnd", touchPoints: [] });
    await tablet.waitForTimeout(900);
    await Promise.all([settled(phone), settled(tablet)]);
    assert.equal(done(shop, visit), count, "both taps were for the same step");
    assert.notEqual(await stepOf(tablet), held);
  } finally {
    await shop.close();
  }
});

test("a message is a line that goes by a tap or by itself, and nothing waits for it", { timeout: 120_000 }, async () => {
  const shop = new Shop();
  try {
    const visit = shop.begin();
    await shop.start();
    const page = await shop.device(chrome, SIZES.phone, "phone");
    await shop.open(page, visit, "bench");
    await page.tap("[data-undo]");
    await page.waitForSelector("#told > p");
    assert.match(String(await page.textContent("#told")), /nothing left to take back/);
    assert.equal(await page.locator("dialog[open]").count(), 0);
    // It covers nothing that acts: the large button is still what lies under the thumb.
    const at = await middle(page, ".sheet .main");
    assert.ok(await page.evaluate(([x, y]) => document.elementFromPoint(x, y)?.closest(".main") !== null, [at.x, at.y]));
    await page.tap("#told > p");
    assert.equal(await page.locator("#told > p").count(), 0);
    await rested(page);
    await page.tap("[data-undo]");
    await page.waitForSelector("#told > p");
    await page.waitForFunction(() => document.querySelector("#told > p") === null, undefined, { timeout: 15_000 });
    await rested(page);
    assert.match(await tick(page), /^All 4 off/);
  } finally {
    await shop.close();
  }
});

test("a long press names a hole and never marks it", { timeout: 120_000 }, async () => {
  const shop = new Shop();
  try {
    const visit = shop.begin();
    await shop.start();
    const page = await shop.device(chrome, SIZES.phone, "phone");
    await shop.open(page, visit, "bench");
    await page.tap("[data-turn]");
    const hold = async (/** @type {string} */ hole) => {
      const at = await middle(page, `.drawn:not(.gone) [data-hole="${hole}"] .touch`);
      const finger = await page.context().newCDPSession(page);
      await finger.send("Input.dispatchTouchEvent", { type: "touchStart", touchPoints: [at] });
      await page.waitForSelector("#happened[open]");
      await finger.send("Input.dispatchTouchEvent", { type: "touchEnd", touchPoints: [] });
    };
    await hold("3");
    assert.equal(await page.getAttribute('[data-hole="3"]', "data-state"), "in-place");
    assert.match(String(await page.textContent("#happened [data-which]")), /\b3$/);
    await page.tap("#happened button:has-text('Cancel')");
    await settled(page);
    assert.match(shop.run("ledger").out, /nothing is open/, "naming a hole records nothing");
    await hold("2");
    await page.waitForTimeout(800);
    await page.tap("#happened button:text-is('seized')");
    await settled(page);
    const { out } = shop.run("ledger");
    assert.match(out, /seized/i);
    assert.doesNotMatch(out, /bolts 2\b.* is off/, "what is seized is not off");
    assert.match(out, /cover bolts 2/);
  } finally {
    await shop.close();
  }
});

test("a form that is filled in outlives a tick of another device and a connection that comes and goes", { timeout: 120_000 }, async () => {
  const shop = new Shop();
  try {
    const visit = shop.begin("demo/books/tern-24");
    await shop.start();
    const phone = await shop.device(chrome, SIZES.phone, "phone");
    const tablet = await shop.another(chrome, phone, SIZES.tablet, "tablet");
    await shop.open(phone, visit, "readings");
    await shop.open(tablet, visit, "bench");
    await phone.tap("details.other summary");
    await phone.selectOption("select[name=task]", { index: 2 });
    const chosen = await phone.inputValue("select[name=task]");
    await phone.fill("input[name=value]", "12.5");
    await phone.fill("input[name=what]", "cylinder 3");
    await phone.evaluate(() => { /** @type {HTMLElement} */ (document.activeElement)?.blur(); });
    const kept = async () => assert.deepEqual(
      [await phone.inputValue("select[name=task]"), await phone.inputValue("input[name=value]"), await phone.inputValue("input[name=what]")],
      [chosen, "12.5", "cylinder 3"]);
    await tick(tablet);
    await settled(tablet);
    await phone.waitForTimeout(800);
    await kept();
    await shop.kill();
    await phone.waitForTimeout(1_000);
    await shop.start();
    await phone.waitForTimeout(4_000);
    await kept();
    // Opened details and the place on the page stay as well.
    await shop.open(phone, visit, "tell");
    await phone.tap("summary:has-text('Add a finding')");
    await phone.fill("textarea[name=words]", "hose is cracked");
    await phone.evaluate(() => { /** @type {HTMLElement} */ (document.activeElement)?.blur(); window.scrollTo(0, 300); });
    const scrolled = await phone.evaluate(() => window.scrollY);
    await shop.open(tablet, visit, "bench");
    await tick(tablet);
    await settled(tablet);
    await phone.waitForTimeout(800);
    assert.equal(await phone.inputValue("textarea[name=words]"), "hose is cracked");
    assert.ok(await phone.locator("details[open]:has(textarea[name=words])").isVisible());
    assert.ok(Math.abs((await phone.evaluate(() => window.scrollY)) - scrolled) < 3, "the page is not scrolled");
  } finally {
    await shop.close();
  }
});

test("taking back shows at once without a connection, and lasts over tabs and a restart of the page", { timeout: 120_000 }, async () => {
  const shop = new Shop();
  try {
    const visit = shop.begin("demo/books/tern-24");
    await shop.start();
    const page = await shop.device(chrome, SIZES.phone, "phone");
    await shop.open(page, visit, "bench");
    const first = await stepOf(page);
    await tick(page);
    await settled(page);
    const second = await stepOf(page);
    await page.waitForTimeout(800);
    await page.context().setOffline(true);
    await tick(page);
    const third = await stepOf(page);
    assert.equal(new Set([first, second, third]).size, 3);
    for (const back of [second, first]) {
      await rested(page);
      await page.tap("[data-undo]");
      await page.waitForFunction((step) => document.querySelector(".sheet")?.getAttribute("data-step") === step, back);
    }
    await page.context().setOffline(false);
    await settled(page);
    assert.equal(done(shop, visit), 0);

    // A tick in one tab is taken back in another.
    await shop.open(page, visit, "bench");
    const count = await stepsOfSheet(page);
    await tick(page);
    await settled(page);
    assert.equal(done(shop, visit), count);
    const other = await page.context().newPage();
    await page.close();
    await shop.open(other, visit, "bench");
    await other.tap("[data-undo]");
    await other.waitForFunction((step) => document.querySelector(".sheet")?.getAttribute("data-step") === step, first);
    await settled(other);
    assert.equal(done(shop, visit), 0);
  } finally {
    await shop.close();
  }
});
