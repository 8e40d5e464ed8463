// The bench at every size that is supported, every step of the large plans: words and dangers are whole without scrolling, what is
// tapped is large, and what is written, in drawings too, can be read.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { browser, picture, settled, Shop } from "./shop.js";

/** Least height of the large button on a phone held upright, px: 18 mm at six px to the mm; 20 mm where the phone is not small. */
const LEAST_MAIN = 112;

/** The same on a tablet lying, px: 20 mm at 5.2 px to the mm. */
const LEAST_MAIN_TABLET = 104;

/** Least size of what is written anywhere on a sheet, px. */
const LEAST_LETTERS = 16;

/** Least width of a ring, px: 8 mm on a phone; where a great many holes share a small drawing, no less than two thirds of it. */
const RING = 48;
const LEAST_RING = 32;

/**
 * A size of the page, the books that are worked through at it, and those that are besides in the long run.
 * @typedef {{name: string, width: number, height: number, isTouch: boolean, books: string[], long: string[]}} Size
 */

const TERN = "demo/books/tern-24";
const CURLEW = "demo/books/curlew-30";

/** Whether every book is worked through at every size. */
const IS_LONG = process.env.TRAYWRIGHT_LONG === "1";

/** @type {Size[]} */
const SIZES = [
  { name: "small phone", width: 360, height: 640, isTouch: true, books: [TERN], long: [CURLEW] },
  { name: "phone", width: 390, height: 844, isTouch: true, books: [], long: [TERN, CURLEW] },
  { name: "phone held across", width: 844, height: 390, isTouch: true, books: [CURLEW], long: [TERN] },
  { name: "tablet held upright", width: 768, height: 1024, isTouch: true, books: [], long: [TERN, CURLEW] },
  { name: "tablet", width: 1024, height: 768, isTouch: true, books: [TERN], long: [CURLEW] },
  { name: "computer", width: 1280, height: 800, isTouch: false, books: [], long: [TERN, CURLEW] },
];

/**
 * What is measured of a step.
 * @typedef {{step: string, main: number, bottom: number, cut: string[], hidden: number, isWordy: boolean, letters: number, small: string, rings: number[],
 *   overlaps: number, figure: string, beside: string, tools: string[]}} Measured
 */

/** @type {import("playwright-core").Browser} */
let chrome;
before(async () => { chrome = await browser(); });
after(async () => { await chrome.close(); });

/**
 * Lays every sheet of the plan out in the page, one after the other, and measures it.
 * @param {import("playwright-core").Page} page
 * @param {string} way
 * @returns {Promise<Measured[]>}
 */
async function measured(page, way) {
  return page.evaluate(async (bench) => {
    const script = /** @type {HTMLScriptElement} */ (document.querySelector("script[src$='bench.js']")).src;
    const { fit } = await import(script.replace("bench.js", "drawing.js"));
    /** @type {any[]} */
    const all = [];
    const place = /** @type {Element} */ (document.querySelector(".sheet"));
    let shown = place;
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
        const box = (/** @type {string} */ selector) => /** @type {HTMLElement} */ (sheet.querySelector(selector));
        const [main, words, foot] = [box(".main"), box(".words"), box(".title")];
        const cut = [...sheet.querySelectorAll(".actions button, .actions a, .place > *, .title > *")]
          .filter((each) => each.scrollWidth > each.clientWidth + 1 || each.scrollHeight > each.clientHeight + 1)
          .map((each) => each.textContent ?? "");
        let [letters, small] = [Infinity, ""];
        for (const each of sheet.querySelectorAll("*")) {
          const isText = [...each.childNodes].some((node) => node.nodeType === Node.TEXT_NODE && node.nodeValue?.trim());
          if (!isText || each.closest("title, style") || each.getClientRects().length === 0) {
            continue;
          }
          const turned = each instanceof SVGGraphicsElement ? each.getScreenCTM() : null;
          const px = parseFloat(getComputedStyle(each).fontSize) * (turned ? Math.hypot(turned.a, turned.b) : 1);
          if (px < letters) {
            [letters, small] = [px, each.textContent ?? ""];
          }
        }
        const rings = [...sheet.querySelectorAll(".drawn:not(.gone) .ring")].map((ring) => ring.getBoundingClientRect()).filter((ring) => ring.width > 0);
        const middle = (/** @type {DOMRect} */ one) => [one.x + one.width / 2, one.y + one.height / 2];
        const overlaps = rings.filter((one, at) => rings.slice(at + 1).some((other) => {
          const [[x0, y0], [x1, y1]] = [middle(one), middle(other)];
          return Math.hypot(x1 - x0, y1 - y0) < one.width - 1;
        })).length;
        all.push({
          step: sheet.dataset.step, main: main.getBoundingClientRect().height, letters, small, cut, overlaps, isWordy: sheet.classList.contains("wordy"),
          rings: rings.map((ring) => ring.width), bottom: foot.getBoundingClientRect().bottom,
          // Boxes for many values are scrolled to; what to do and what endangers never.
          hidden: sheet.querySelector(".measures") ? Math.max(0, box(".sentence").getBoundingClientRect().bottom - words.getBoundingClientRect().bottom) : words.scrollHeight - words.clientHeight,
          figure: sheet.querySelector(".figure")?.textContent ?? "", beside: sheet.querySelector(".beside")?.textContent ?? "",
          tools: [...sheet.querySelectorAll(".tool")].map((tool) => tool.textContent ?? ""),
        });
      }
    }
  }, way);
}

/**
 * With what, and how tight: every tool is named in letters that can be read, and no figure says less than the hand needs.
 * @param {Measured[]} all
 * @param {string} book
 */
function checkTools(all, book) {
  const two = all.filter((one) => one.tools.length > 1);
  assert.ok(two.length > 10, `steps with two tools: ${two.length}`);
  assert.deepEqual(two.filter((one) => one.tools.some((tool) => !/: \S/.test(tool))), [], "what a tool is for is not said");
  const angles = all.filter((one) => /°/.test(one.figure));
  assert.deepEqual(angles.filter((one) => !/after \S/.test(one.beside)), [], "an angle stands alone");
  const set = all.filter((one) => /set on the wrench/.test(one.beside));
  assert.ok(set.length > 0 || book !== TERN, "a setting that differs from the torque is among them");
  assert.deepEqual(set.filter((one) => !/N·m/.test(one.figure) || !/N·m at the fastener/.test(one.beside)), [], "setting and torque do not stand together");
  assert.deepEqual(all.filter((one) => /\bpcs\b/.test(one.figure)), [], "a count that the sentence says is the large figure");
}

for (const { name, width, height, isTouch, books, long } of SIZES) {
  for (const book of IS_LONG ? [...books, ...long] : books) {
    test(`every step of ${book} fits on a ${name}`, { timeout: 300_000 }, async () => {
      const shop = new Shop();
      try {
        const visit = shop.begin(book);
        await shop.start();
        const size = { viewport: { width, height }, isMobile: isTouch, hasTouch: isTouch };
        const page = await shop.device(chrome, size, "device");
        const bench = shop.at(`/v/${visit}/bench`);
        // A first sheet with a drawing tells the server how much room there is.
        await page.goto(bench);
        await settled(page);
        await page.waitForFunction(() => /room=/.test(document.cookie));
        const all = await measured(page, bench);
        assert.ok(all.length > 100, `${all.length} sheets`);
        const worst = [...all].sort((a, b) => b.hidden - a.hidden)[0];
        const small = [...all].sort((a, b) => a.letters - b.letters)[0];
        const rings = all.flatMap((one) => one.rings).sort((a, b) => a - b);
        console.log(`${name}: ${all.length} sheets; words hidden in ${all.filter((one) => one.hidden > 1).length}, at most ${worst.hidden} px (${worst.step}); ` +
          `the drawing makes way in ${all.filter((one) => one.isWordy).length}; letters ${small.letters.toFixed(1)} px at least (“${small.small}”, ${small.step}); ` +
          `rings ${rings[0]?.toFixed(0)} px at least, ${rings[Math.floor(rings.length / 2)]?.toFixed(0)} in the middle`);
        for (const [label, step] of [["words", worst.step], ["letters", small.step], ["wordy", all.find((one) => one.isWordy)?.step]]) {
          if (step) {
            await page.goto(`${bench}?step=${encodeURIComponent(String(step))}`);
            await settled(page);
            await picture(page, `${name}-bench-worst-${label}`);
          }
        }
        assert.deepEqual(all.filter((one) => one.hidden > 1).map((one) => one.step), [], "words have to be scrolled to");
        assert.deepEqual([...new Set(all.flatMap((one) => one.cut))], [], "words are cut off");
        assert.deepEqual(all.filter((one) => one.bottom > height + 0.5).map((one) => one.step), [], "the title block lies below the screen");
        assert.deepEqual(all.filter((one) => one.letters < LEAST_LETTERS - 0.1).map((one) => [one.step, one.small, one.letters]), [], "letters are too small");
        assert.deepEqual(all.filter((one) => one.main < (isTouch ? (width < 900 ? LEAST_MAIN : LEAST_MAIN_TABLET) : 80)).map((one) => one.step), [], "the large button is too low for a glove");
        assert.deepEqual(all.filter((one) => one.overlaps > 0).map((one) => one.step), [], "rings lie over each other");
        assert.ok(rings.every((ring) => ring >= LEAST_RING), `rings of ${rings[0]} px`);
        assert.ok(rings[Math.floor(rings.length / 2)] >= RING - 1, "most rings are 8 mm");
        checkTools(all, book);
      } finally {
        await shop.close();
      }
    });
  }
}
