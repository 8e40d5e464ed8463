// What visits teach, at the size of a phone: a bolt broke, it is taken into the book by a tap, and the next visit's sheet says it.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { browser, picture, rested, settled, Shop, SIZES } from "./shop.js";

/** @type {import("playwright-core").Browser} */
let chrome;
before(async () => { chrome = await browser(); });
after(async () => { await chrome.close(); });

test("a lesson is taken by a tap and stands on the sheet of the next visit", { timeout: 180_000 }, async () => {
  const shop = new Shop();
  try {
    const first = shop.begin();
    await shop.start();
    const page = await shop.device(chrome, SIZES.phone, "phone");
    await shop.open(page, first, "bench");
    await rested(page);
    await page.click("[data-open=happened]");
    await rested(page);
    await page.click('#happened [data-names]:text-is("1")');
    await rested(page);
    await page.click("#happened button:has-text('broke off')");
    await settled(page);

    await page.goto(shop.at("/"));
    await page.click("a:has-text('What the visits teach')");
    await page.waitForSelector("h1:has-text('What the visits teach')");
    assert.match((await page.textContent("main")) ?? "", /cover bolts: one broke off in 1 of 1 visit/i);
    await picture(page, "phone-lessons");
    const wide = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
    assert.ok(wide <= 0, `the page is ${wide} px too wide`);
    for (const button of await page.locator("main button").all()) {
      const box = await button.boundingBox();
      assert.ok(box && box.height >= 44, "a button is large enough for a finger");
    }
    await page.click("button:has-text('Take into the book')");
    await page.waitForSelector("h2:has-text('In the book')");
    await picture(page, "phone-lessons-taken");

    const next = shop.begin();
    await shop.open(page, next, "bench");
    assert.match((await page.textContent("main")) ?? "", /Visits: cover bolts: one broke off in 1 of 1 visit/i);

    // Taken back, the visit after that does not say it.
    await page.goto(shop.at(`/lessons?visit=${first}`));
    await page.click("button:has-text('Take the decision back')");
    await page.waitForSelector("button:has-text('Take into the book')");
    const last = shop.begin();
    await shop.open(page, last, "bench");
    assert.doesNotMatch((await page.textContent("main")) ?? "", /Visits: cover bolts/);
    assert.equal(shop.run("check-journal").code, 0);
  } finally {
    await shop.close();
  }
});
