// A computer: the step in hand large, the next two beside it, to be read and never to be tapped.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { browser, picture, rested, settled, Shop } from "./shop.js";

/** Least size of what is written beside the sheet, px. */
const LEAST_LETTERS = 16;

/** @type {import("playwright-core").Browser} */
let chrome;
before(async () => { chrome = await browser(); });
after(async () => { await chrome.close(); });

/** @param {import("playwright-core").Page} page */
const beside = (page) => page.evaluate(() => [...document.querySelectorAll("#coming > section")].map((one) => ({
  number: one.querySelector(".number")?.textContent ?? "", sentence: one.querySelector(".sentence")?.textContent ?? "",
})));

/** @param {import("playwright-core").Page} page */
const inHand = (page) => page.evaluate(() => {
  const sheet = /** @type {HTMLElement} */ (document.querySelector("body > .sheet"));
  return { number: sheet.dataset.number ?? "", says: document.querySelector(".sheet .main")?.getAttribute("data-says") ?? "", right: sheet.getBoundingClientRect().right };
});

for (const [width, height] of [[1280, 800], [1600, 900]]) {
  test(`the next two sheets stand beside the one in hand at ${width} x ${height}`, { timeout: 180_000 }, async () => {
    const shop = new Shop();
    try {
      const visit = shop.begin("demo/books/tern-24");
      await shop.start();
      const page = await shop.device(chrome, { viewport: { width, height } }, "computer");
      await shop.open(page, visit, "bench?step=20");
      await page.waitForFunction(() => document.querySelectorAll("#coming > section").length === 2);
      await settled(page);
      await picture(page, `wide-${width}`);
      const [now, two] = [await inHand(page), await beside(page)];
      assert.ok(now.right <= width * 0.67, "the sheet in hand leaves room");
      assert.ok(Number(two[0].number) > Number(now.number) && Number(two[1].number) > Number(two[0].number), JSON.stringify(two));
      assert.ok(two.every(({ sentence }) => sentence.length > 10));
      const read = await page.evaluate(() => {
        const [letters, wide] = [/** @type {number[]} */ ([]), /** @type {string[]} */ ([])];
        for (const one of document.querySelectorAll("#coming *")) {
          const isText = [...one.childNodes].some((node) => node.nodeType === Node.TEXT_NODE && node.nodeValue?.trim());
          if (!isText || one.closest("svg, style") || one.getClientRects().length === 0) continue;
          letters.push(parseFloat(getComputedStyle(one).fontSize));
          if (one.getBoundingClientRect().right > innerWidth + 1) wide.push(one.textContent ?? "");
        }
        return { least: Math.min(...letters), wide, isInert: /** @type {HTMLElement} */ (document.querySelector("#coming")).inert };
      });
      assert.ok(read.least >= LEAST_LETTERS, `letters of ${read.least} px`);
      assert.deepEqual(read.wide, []);
      assert.ok(read.isInert);
      // Wherever it is tapped, nothing is written.
      /** @type {string[]} */
      const sent = [];
      page.on("request", (request) => { if (request.method() === "POST" && request.url().endsWith("/events") && /"kind"/.test(request.postData() ?? "")) sent.push(request.postData() ?? ""); });
      await rested(page);
      for (let y = 20; y < height; y += 60) {
        for (const x of [0.7, 0.83, 0.97]) await page.mouse.click(width * x, y);
      }
      await page.waitForTimeout(300);
      assert.deepEqual(sent, []);
      assert.equal((await inHand(page)).says, now.says);
      // A tick moves them on, without a connection too.
      await shop.open(page, visit, "bench");
      await page.waitForFunction(() => document.querySelectorAll("#coming > section").length === 2);
      const [first] = await beside(page);
      await page.context().setOffline(true);
      await rested(page);
      await page.click(".sheet .main");
      await page.waitForFunction((number) => /** @type {HTMLElement | null} */ (document.querySelector("body > .sheet"))?.dataset.number === number, first.number);
      await page.waitForFunction((number) => document.querySelectorAll("#coming > section").length === 2 && document.querySelector("#coming .number")?.textContent !== number, first.number);
      await page.context().setOffline(false);
    } finally {
      await shop.close();
    }
  });
}

test("a narrower page has none", { timeout: 120_000 }, async () => {
  const shop = new Shop();
  try {
    const visit = shop.begin();
    await shop.start();
    const page = await shop.device(chrome, { viewport: { width: 1180, height: 820 } }, "tablet");
    await shop.open(page, visit, "bench");
    await page.waitForTimeout(500);
    assert.equal(await page.locator("#coming").count(), 0);
  } finally {
    await shop.close();
  }
});
