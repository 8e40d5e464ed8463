// The bench at 200 %, held across: half as many px each way. The large button, the danger and what the hand sets are seen first; the
// rest of a sheet is at most one turn of the page away, and nothing runs out of the side.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { browser, picture, settled, Shop } from "./shop.js";

/** Least size of what is written, px of the page: twice as many on the screen. */
const LEAST_LETTERS = 16;

/** A computer and a tablet lying, each at 200 %; the second in the long run. */
const SIZES = process.env.TRAYWRIGHT_LONG === "1" ? [[640, 400], [512, 384]] : [[640, 400]];

/** @type {import("playwright-core").Browser} */
let chrome;
before(async () => { chrome = await browser(); });
after(async () => { await chrome.close(); });

/**
 * Lays every sheet out, one after the other, and measures it.
 * @param {import("playwright-core").Page} page
 * @param {string} way
 */
async function measured(page, way) {
  return page.evaluate(async (bench) => {
    const script = /** @type {HTMLScriptElement} */ (document.querySelector("script[src$='bench.js']")).src;
    const { fit } = await import(script.replace("bench.js", "drawing.js"));
    const wordsOf = (/** @type {Element} */ one) => {
      const range = document.createRange();
      range.selectNodeContents(one);
      return range.getBoundingClientRect().width;
    };
    /** @type {{step: string, late: string[], turns: number, wide: number, letters: number, over: string[]}[]} */
    const all = [];
    let shown = /** @type {Element} */ (document.querySelector(".sheet"));
    for (let step = 1; ; step += 40) {
      const box = document.createElement("template");
      box.innerHTML = await (await fetch(`${bench}/sheets?step=${step}`)).text();
      const sheets = /** @type {HTMLElement[]} */ ([...box.content.querySelectorAll(".sheet")]);
      if (sheets.length === 0) {
        return all;
      }
      for (const sheet of sheets) {
        shown.replaceWith(sheet);
        shown = sheet;
        fit();
        const words = /** @type {HTMLElement} */ (sheet.querySelector(".words"));
        const seen = words.getBoundingClientRect();
        // What has to be seen before anything is turned: each danger, the figure, the button.
        const first = [...words.querySelectorAll(".caution, .reach > .figure, .tool.refusal")].filter((one) => {
          const box = one.getBoundingClientRect();
          return box.bottom > seen.bottom + 1 || box.top < seen.top - 1;
        });
        const main = /** @type {HTMLElement} */ (sheet.querySelector(".main"));
        const over = [main, ...sheet.querySelectorAll(".small > *")].filter((one) => one.getBoundingClientRect().bottom > innerHeight + 0.5 || wordsOf(one) > one.clientWidth || one.scrollWidth > one.clientWidth + 1 || one.scrollHeight > one.clientHeight + 1);
        const letters = [...sheet.querySelectorAll(".words *, .place *, .actions *")].filter((one) => one.getClientRects().length > 0 && [...one.childNodes].some((node) => node.nodeType === Node.TEXT_NODE && node.nodeValue?.trim()));
        all.push({
          step: sheet.dataset.step ?? "", late: first.map((one) => one.textContent ?? ""),
          // Boxes for many values are scrolled to, as at every size.
          turns: sheet.querySelector(".measures") ? 1 : words.scrollHeight / words.clientHeight,
          wide: Math.max(document.documentElement.scrollWidth - innerWidth, words.scrollWidth - words.clientWidth),
          letters: Math.min(...letters.map((one) => parseFloat(getComputedStyle(one).fontSize))), over: over.map((one) => one.textContent ?? ""),
        });
      }
    }
  }, way);
}

for (const [width, height] of SIZES) {
  test(`at 200 % a sheet is at most one turn of the page: ${width} x ${height}`, { timeout: 300_000 }, async () => {
    const shop = new Shop();
    try {
      const visit = shop.begin("demo/books/tern-24");
      await shop.start();
      const page = await shop.device(chrome, { viewport: { width, height } }, "computer");
      await page.goto(shop.at(`/v/${visit}/bench`));
      await settled(page);
      const all = await measured(page, shop.at(`/v/${visit}/bench`));
      assert.ok(all.length > 100, `${all.length} sheets`);
      const worst = [...all].sort((a, b) => b.turns - a.turns)[0];
      console.log(`${width} x ${height}: ${all.length} sheets, the longest ${worst.turns.toFixed(2)} turns (${worst.step}), ${all.filter((one) => one.turns > 1.01).length} of more than one`);
      for (const [label, step] of [["longest", worst.step], ["late", all.find((one) => one.late.length > 0)?.step]]) {
        if (step) {
          await page.goto(shop.at(`/v/${visit}/bench?step=${encodeURIComponent(String(step))}`));
          await settled(page);
          await picture(page, `zoom-${width}-${label}`);
        }
      }
      assert.deepEqual(all.filter((one) => one.late.length > 0).map((one) => [one.step, one.late]), [], "a danger or a setting has to be scrolled to");
      assert.deepEqual(all.filter((one) => one.turns > 2.01).map((one) => [one.step, one.turns]), [], "more than one turn of the page");
      assert.deepEqual(all.filter((one) => one.wide > 1).map((one) => one.step), [], "something runs out of the side");
      assert.deepEqual(all.filter((one) => one.over.length > 0).map((one) => [one.step, one.over]), [], "a button is cut off");
      assert.deepEqual(all.filter((one) => one.letters < LEAST_LETTERS - 0.1).map((one) => [one.step, one.letters]), [], "letters are too small");
    } finally {
      await shop.close();
    }
  });
}
