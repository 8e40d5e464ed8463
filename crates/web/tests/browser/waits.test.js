// A wait with its clock in the page: it ticks without a reload, by a clock that is right or wrong, with the server and without it,
// beside other work, on its own step and on the way back; its end is said.

import assert from "node:assert/strict";
import path from "node:path";
import { after, before, test } from "node:test";

import { browser, picture, rested, root, settled, Shop } from "./shop.js";

/** @typedef {import("playwright-core").Page} Page */

const PHONE = { viewport: { width: 360, height: 640 }, isMobile: true, hasTouch: true };

/** @type {import("playwright-core").Browser} */
let chrome;
before(async () => { chrome = await browser(); });
after(async () => { await chrome.close(); });

/** Lets a page's clock be moved, min: it goes on from there. @param {Page} page @param {number} ahead_min */
async function withClock(page, ahead_min) {
  await page.addInitScript((ahead) => {
    const now = Date.now;
    sessionStorage.setItem("ahead", sessionStorage.getItem("ahead") ?? String(ahead));
    Date.now = () => now() + Number(sessionStorage.getItem("ahead")) * 60_000;
  }, ahead_min);
}

/** @param {Page} page @param {number} ahead_min */
const moveClock = (page, ahead_min) => page.evaluate((ahead) => sessionStorage.setItem("ahead", String(ahead)), ahead_min);

/** @param {Page} page @param {RegExp} words */
const clockSays = (page, words) => page.waitForFunction((said) =>
  [...document.querySelectorAll("time.clock")].some((one) => new RegExp(said).test((one.textContent ?? "").replace(/\u00a0/g, " "))), words.source, { timeout: 5_000 });

/** Presses the large button, whatever it asks. @param {Page} page */
async function press(page) {
  await rested(page);
  const was = await page.evaluate(() => [document.querySelector(".sheet")?.getAttribute("data-step"), document.querySelector(".sheet .main")?.textContent]);
  await page.tap(".sheet .main:not([disabled])");
  await page.waitForFunction(([step, label]) => document.querySelector(".sheet")?.getAttribute("data-step") !== step || document.querySelector(".sheet .main")?.textContent !== label, was);
}

/** Works on until a sheet's sentence fits. @param {Page} page @param {RegExp} until */
async function workTo(page, until) {
  for (let n = 0; n < 40; n += 1) {
    await settled(page);
    if (until.test((await page.textContent(".sheet .sentence")) ?? "")) {
      return;
    }
    await press(page);
  }
  assert.fail(`never came to ${until}`);
}

/**
 * A thermostat visit on a phone, worked as far as the step that lets the engine cool.
 * @param {Shop} shop
 */
async function atTheCooling(shop) {
  const { out } = shop.run("visit", "new", "--book", path.join(root, "demo/books/tern-24"), "--store", path.join(root, "demo/store"), "--name", "test bus", "--seconds", "5", "--task", "renew-thermostat");
  const visit = /id +(\S+)/.exec(out)?.[1] ?? "";
  await shop.start();
  const page = await shop.device(chrome, PHONE, "phone");
  await withClock(page, 0);
  await shop.open(page, visit, "bench");
  await workTo(page, /Let the engine cool/);
  return { visit, page };
}

test("a wait ticks in the page, by its own device's clock and by another's, and its end is said", { timeout: 300_000 }, async () => {
  const shop = new Shop();
  try {
    const { visit, page } = await atTheCooling(shop);
    await press(page);
    await settled(page);
    await clockSays(page, /^1 h 30 min left$/);
    const { hidden, bottom } = await page.evaluate(() => {
      const words = /** @type {HTMLElement} */ (document.querySelector(".sheet .words"));
      return { hidden: words.scrollHeight - words.clientHeight, bottom: document.querySelector(".sheet .title")?.getBoundingClientRect().bottom ?? 0 };
    });
    assert.ok(hidden <= 1 && bottom <= 640.5, `the clock hides words: ${hidden} px, ${bottom}`);
    await picture(page, "waits-beside");

    // Another device, whose clock is two hours ahead: the server's corrects it.
    const other = await shop.another(chrome, await page.context().newPage(), { viewport: { width: 1280, height: 800 } }, "tablet");
    await withClock(other, 120);
    await shop.open(other, visit, "ledger");
    await clockSays(other, /^1 h 30 min left$/);

    // An hour and a half later nothing was reloaded, and the server is gone.
    await page.evaluate(() => { document.documentElement.dataset.mark = "same page"; });
    await page.context().setOffline(true);
    await moveClock(page, 55.5);
    await clockSays(page, /^35 min left$/);
    await moveClock(page, 89.2);
    await clockSays(page, /^\d\d s left$/);
    await moveClock(page, 90.1);
    await clockSays(page, /^over now$/);
    await page.waitForFunction(() => /The wait is over: Engine cold enough to touch/.test(document.querySelector("#told")?.textContent ?? ""));
    await picture(page, "waits-over");
    await moveClock(page, 102.5);
    await clockSays(page, /^ended 12 min ago$/);
    assert.equal(await page.evaluate(() => document.documentElement.dataset.mark), "same page");
    await page.context().setOffline(false);
  } finally {
    await shop.close();
  }
});

test("a wait that begins without the server runs from the tap that began it, and is the large figure of its own step", { timeout: 300_000 }, async () => {
  const shop = new Shop();
  try {
    const { visit, page } = await atTheCooling(shop);
    await page.waitForTimeout(1_500);
    await page.context().setOffline(true);
    await press(page);
    await clockSays(page, /^1 h 30 min left$/);
    await moveClock(page, 30.5);
    await clockSays(page, /^1 h left$/);
    await page.context().setOffline(false);
    await moveClock(page, 0);
    await settled(page);
    await workTo(page, /^Wait[: ]/);
    const figure = page.locator("time.clock.figure");
    await page.waitForFunction(() => /^1 h 30 min left$/.test((document.querySelector("time.clock.figure")?.textContent ?? "").replace(/\u00a0/g, " ")));
    const box = await figure.boundingBox();
    assert.ok(box && box.height >= 30, `the clock is ${box?.height} px high`);
    await picture(page, "waits-own");
    // The step itself ends it; the ledger and the way back say the same.
    await press(page);
    await settled(page);
    assert.match(String(await page.textContent(".sheet .main")), /The wait is over/);
    for (const sheet of ["ledger", "pause"]) {
      await shop.open(page, visit, sheet);
      await clockSays(page, /^1 h 30 min left$/);
      await picture(page, `waits-${sheet}`, true);
    }
    await page.locator(".taps button").first().tap();
    await page.waitForSelector("h1:has-text('Back at the bench')");
    await clockSays(page, /^1 h 30 min left$/);
  } finally {
    await shop.close();
  }
});
