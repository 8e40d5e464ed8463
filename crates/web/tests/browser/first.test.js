// The first hour of a newcomer, from the pages alone: the server is started in an empty folder, and no command is typed after that.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { browser, picture, settled, Shop, SIZES, tick } from "./shop.js";

/** @type {import("playwright-core").Browser} */
let chrome;
before(async () => { chrome = await browser(); });
after(async () => { await chrome.close(); });

test("from an empty folder to the first screws in their tray, by the pages alone", { timeout: 300_000 }, async () => {
  const shop = new Shop();
  try {
    await shop.start();
    const page = await shop.device(chrome, SIZES.phone, "phone");
    await page.waitForSelector("text=No visit yet");
    await picture(page, "phone-first-run");
    await page.tap("a.main[href='/begin']");
    await page.waitForSelector("text=which engine");
    await picture(page, "phone-begin", true);
    // The demo, which says that it is invented.
    assert.match(String(await page.textContent("main")), /Invented engines/);
    await page.tap("li:has-text('tasks') a.other >> nth=0");
    await page.fill("input[name=name]", "the grey bus");
    await page.fill("input[name=odometer]", "far");
    await page.locator("input[name=task]").nth(0).check();
    await picture(page, "phone-begin-vehicle", true);
    await page.tap("button.main");
    await page.waitForSelector("text=is not a distance with its unit");
    assert.ok(await page.locator("input[name=task]").nth(0).isChecked(), "what was ticked is still ticked");
    await page.fill("input[name=odometer]", "412300 km");
    assert.equal(await page.inputValue("input[name=name]"), "the grey bus", "what was written is still there");
    await page.tap("button.main");
    await page.waitForURL(/\/v\/[^/]+\/ready/, { timeout: 120_000 });
    const visit = /\/v\/([^/]+)\//.exec(page.url())?.[1] ?? "";
    await picture(page, "phone-begin-ready", true);
    assert.match(String(await page.textContent("h1")), /Before you start/);
    await page.tap("a.main:has-text('bench')");
    await settled(page);
    await tick(page);
    await settled(page);
    assert.match(shop.run("ledger").out, /open/);
    // A task more, from the pages.
    await shop.open(page, visit, "goal");
    await page.tap("button:has-text('Add') >> nth=0");
    await page.waitForURL(/\/bench/, { timeout: 120_000 });
    await settled(page);
    assert.equal(await page.locator(".sheet").count(), 1);
    // A second vehicle without a book gets another letter, and its bench works.
    await page.goto(shop.at("/begin?book="));
    assert.equal(await page.inputValue("input[name=letter]"), "B");
    await page.fill("input[name=name]", "the green van");
    await page.tap("button.main");
    await page.waitForURL(/\/v\/[^/]+\/next/);
    assert.match(String(await page.textContent("main")), /Comes off next/);
    assert.equal((await page.request.get(shop.at("/begin?book=no-such-book"))).status(), 404);
  } finally {
    await shop.close();
  }
});
