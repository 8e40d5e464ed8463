// The calendar by taps: two vehicles on a phone, a part that is late, a promise moved, the other vehicle first; and how it fits each page.

import assert from "node:assert/strict";
import path from "node:path";
import { after, before, test } from "node:test";

import { browser, picture, root, Shop, SIZES } from "./shop.js";

/** @typedef {import("playwright-core").Page} Page */

/** Pages that it must fit without scrolling sideways. */
const PAGES = [[360, 640], [390, 844], [768, 1024], [1280, 800]];

/** Smallest letters, and smallest height of what is tapped, CSS px. */
const LETTER_PX = 16;
const TAP_PX = 48;

/** @type {import("playwright-core").Browser} */
let chrome;
before(async () => { chrome = await browser(); });
after(async () => { await chrome.close(); });

/**
 * Opens two vehicles on the book with a lift, in a shop that is never closed; the first stands on the lift.
 * @param {Shop} shop
 */
function twoVehicles(shop) {
  const book = path.join(root, "tests/lifted-book");
  const store = path.join(root, "demo/store");
  const ids = ["A", "B"].map((letter) => {
    const { code, out, err } = shop.run("visit", "new", "--book", book, "--store", store, "--letter", letter, "--name", `bus ${letter} (invented)`, "--seconds", "1");
    assert.equal(code, 0, err);
    return /id +(\S+)/.exec(out)?.[1] ?? "";
  });
  assert.equal(shop.run("visit", "setting", ids[0], "--setting", "lift=up").code, 0);
  const hours = shop.run("workshop", "hours", "--hours", "Mon-Sun 00:00-24:00");
  assert.equal(hours.code, 0, hours.err);
  return ids;
}

/** @param {Page} page @param {string} letter */
async function finishOf(page, letter) {
  const all = await page.locator(".finish").allInnerTexts();
  const found = all.find((text) => text.startsWith(letter));
  assert.ok(found, `no finish of ${letter} in ${all}`);
  return found;
}

/**
 * Taps a button of a vehicle and waits until the calendar stands anew.
 * @param {Page} page
 * @param {string} letter
 * @param {string} words
 */
async function tap(page, letter, words) {
  const button = page.locator(`[data-vehicle=${letter}] button`, { hasText: words }).first();
  await Promise.all([page.waitForEvent("load"), button.tap()]);
}

test("a part that is late, a promise moved and the other vehicle first, each by one tap on a phone", { timeout: 240_000 }, async () => {
  const shop = new Shop();
  try {
    twoVehicles(shop);
    await shop.start();
    const page = await shop.device(chrome, SIZES.phone, "phone");
    await page.goto(shop.at("/calendar"));
    const before = await finishOf(page, "A");
    assert.match(await page.locator(".next-up").innerText(), /^[AB]: .+\n+Now, about \d+ min/);
    await page.selectOption("[data-vehicle=A] select", "undertray");
    await tap(page, "A", "In 3 days");
    const late = await finishOf(page, "A");
    assert.notEqual(late, before);
    await picture(page, "calendar-part-late", true);
    assert.match(await page.locator("main").innerText(), /A has the lift until .+\. Cheapest: /);
    await tap(page, "A", "A day later");
    assert.match(await finishOf(page, "A"), /Promise missed Promised for .+, late 100 times in 100/);
    await tap(page, "A", "It is here");
    assert.match(await finishOf(page, "A"), /Promised for .+, late \d+ times in 100/);
    await tap(page, "B", "Goes first");
    assert.match(await page.locator("[data-vehicle=B] h2").innerText(), /goes first/);
    assert.ok(await page.locator("[data-vehicle=B] button", { hasText: "Goes first no longer" }).isVisible());
  } finally {
    await shop.close();
  }
});

test("the calendar fits each page, its letters are read and its buttons are met", { timeout: 240_000 }, async () => {
  const shop = new Shop();
  try {
    const [a] = twoVehicles(shop);
    const day = new Date(Date.now() + 2 * 86_400_000).toISOString().slice(0, 10);
    assert.equal(shop.run("visit", "part", a, "--part", "undertray", "--date", day).code, 0);
    assert.equal(shop.run("visit", "promise", a, "--date", `${day}T12:00`).code, 0);
    await shop.start();
    const page = await shop.device(chrome, SIZES.phone, "phone");
    const sheets = ["/calendar", "/today", `/v/${a}/pause`];
    for (const [[width, height], sheet] of PAGES.flatMap((size) => sheets.map((sheet) => /** @type {const} */ ([size, sheet])))) {
      await page.setViewportSize({ width, height });
      await page.goto(shop.at(sheet));
      await picture(page, `${sheet.split("/").at(-1)}-${width}`, true);
      const found = await page.evaluate((least) => {
        const shown = (/** @type {Element} */ one) => one.getClientRects().length > 0;
        const letters = [...document.querySelectorAll("main *")].filter((one) => shown(one) && [...one.childNodes].some((n) => n.nodeType === 3 && n.textContent?.trim()));
        const small = letters.filter((one) => {
          const scale = one instanceof SVGTextElement ? (one.getScreenCTM()?.a ?? 0) : 1;
          return Number.parseFloat(getComputedStyle(one).fontSize) * scale < least.letter - 0.01;
        });
        const low = [...document.querySelectorAll("main button, main select, main summary")].filter((one) => shown(one) && one.getBoundingClientRect().height < least.tap);
        return { wide: document.documentElement.scrollWidth - innerWidth, small: small.map((one) => one.textContent), low: low.map((one) => one.textContent) };
      }, { letter: LETTER_PX, tap: TAP_PX });
      assert.deepEqual(found, { wide: 0, small: [], low: [] }, `${sheet}, ${width} x ${height}`);
      if (sheet !== "/calendar") continue;
      const next = await page.locator(".next-up").boundingBox();
      assert.ok(next && next.y + next.height <= height, `what is next stands on the first screen at ${width} x ${height}`);
      const isDown = await page.locator(".week-down").isVisible();
      assert.equal(isDown, width < 700);
    }
  } finally {
    await shop.close();
  }
});
