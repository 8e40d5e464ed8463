// The bench at the size of a phone and of a tablet, every step of a large plan: the drawing has the most of the screen,
// the words are whole, what is tapped is large, and what is written in the drawing can be read.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { browser, picture, settled, Shop, SIZES } from "./shop.js";

/** Least share of the drawing in the height of a phone, where a step has much to say, and of the middle step. */
const LEAST_SHARE = 0.31;
const MIDDLE_SHARE = 0.55;

/** A drawing with less than this gives its room to words, and its least letters then, px. */
const SQUEEZED_SHARE = 0.43;
const LEAST_SQUEEZED_LETTERS = 12;

/** Least height of the large button, px: 20 mm at six px to the mm, as a phone of 390 px over 65 mm has them. */
const LEAST_MAIN = 120;

/** Least size of what is written beside a hole, px: as the words below. */
const LEAST_LETTERS = 16;

/**
 * What is measured of a step.
 * @typedef {{step: string, share: number, main: number, bottom: number, cut: string[], hidden: number, letters: number, over: string[],
 *   figure: string, beside: string, tools: string[], toolLetters: number}} Measured
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
      const sheets = [...box.content.querySelectorAll(".sheet")];
      if (sheets.length === 0) {
        return all;
      }
      for (const sheet of sheets) {
        shown.replaceWith(sheet);
        shown = sheet;
        const drawn = [...sheet.querySelectorAll(".drawn")];
        fit();
        const box = (/** @type {string} */ selector) => /** @type {HTMLElement} */ (sheet.querySelector(selector));
        const [main, words, foot] = [box(".main"), box(".words"), box(".title")];
        const share = box(".picture").getBoundingClientRect().height / window.innerHeight;
        const cut = [...sheet.querySelectorAll(".actions button, .actions a, .turn, .title > *")]
          .filter((each) => each.scrollWidth > each.clientWidth + 1 || each.scrollHeight > each.clientHeight + 1)
          .map((each) => each.textContent ?? "");
        // The holes, which may lie behind the stack.
        const holes = drawn.find((one) => one.querySelector("[data-hole]"));
        let letters = Infinity;
        /** @type {string[]} */
        const over = [];
        if (holes) {
          drawn.forEach((one) => one.classList.toggle("gone", one !== holes));
          fit();
          const svg = /** @type {SVGSVGElement} */ (holes.querySelector("svg"));
          const scale = svg.getScreenCTM()?.a ?? 0;
          const texts = [...svg.querySelectorAll("text")];
          letters = Math.min(...texts.map((text) => Number(text.getAttribute("font-size")) * scale));
          const boxes = texts.map((text) => ({ text: text.textContent, box: text.getBBox() }));
          boxes.forEach((a, i) => boxes.slice(i + 1).forEach((b) => {
            const wide = Math.min(a.box.x + a.box.width, b.box.x + b.box.width) - Math.max(a.box.x, b.box.x);
            // Letters fill the middle of their line.
            const high = Math.min(a.box.y + a.box.height, b.box.y + b.box.height) - Math.max(a.box.y, b.box.y) - 0.4 * a.box.height;
            if (wide > 1 && high > 1) {
              over.push(`${a.text} / ${b.text}`);
            }
          }));
        }
        all.push({
          step: /** @type {HTMLElement} */ (sheet).dataset.step, share, main: main.getBoundingClientRect().height, letters, over, cut,
          bottom: foot.getBoundingClientRect().bottom, hidden: words.scrollHeight - words.clientHeight,
          figure: sheet.querySelector(".figure")?.textContent ?? "", beside: sheet.querySelector(".beside")?.textContent ?? "",
          tools: [...sheet.querySelectorAll(".tool")].map((tool) => tool.textContent ?? ""),
          toolLetters: Math.min(Infinity, ...[...sheet.querySelectorAll(".tool")].map((tool) => parseFloat(getComputedStyle(tool).fontSize))),
        });
      }
    }
  }, way);
}

/**
 * With what, and how tight: every tool is named in letters that can be read, and no figure says less than the hand needs.
 * @param {Measured[]} all
 */
function checkTools(all) {
  const two = all.filter((one) => one.tools.length > 1);
  assert.ok(two.length > 10, `steps with two tools: ${two.length}`);
  assert.deepEqual(two.filter((one) => one.tools.some((tool) => !/: \S/.test(tool))), [], "what a tool is for is not said");
  assert.deepEqual(all.filter((one) => one.toolLetters < LEAST_LETTERS), [], "tools in letters that are too small");
  const angles = all.filter((one) => /°/.test(one.figure));
  assert.deepEqual(angles.filter((one) => !/after \S/.test(one.beside)), [], "an angle stands alone");
  const set = all.filter((one) => /set on the wrench/.test(one.beside));
  assert.ok(set.length > 0, "a setting that differs from the torque is among them");
  assert.deepEqual(set.filter((one) => !/N·m/.test(one.figure) || !/N·m at the fastener/.test(one.beside)), [], "setting and torque do not stand together");
  assert.deepEqual(all.filter((one) => /\bpcs\b/.test(one.figure)), [], "a count that the sentence says is the large figure");
}

for (const name of /** @type {("phone" | "tablet")[]} */ (["phone", "tablet"])) {
  test(`every step fits on a ${name}`, { timeout: 180_000 }, async () => {
    const shop = new Shop();
    try {
      const visit = shop.begin("demo/books/tern-24");
      await shop.start();
      const page = await shop.device(chrome, SIZES[name], name);
      await page.goto(shop.at(`/v/${visit}/bench`));
      await settled(page);
      const all = await measured(page, shop.at(`/v/${visit}/bench`));
      assert.ok(all.length > 100, `${all.length} steps`);
      const middle = all.map((one) => one.share).sort((a, b) => a - b)[Math.floor(all.length / 2)];
      const worst = [...all].sort((a, b) => b.hidden - a.hidden)[0];
      const small = [...all].sort((a, b) => a.letters - b.letters)[0];
      console.log(`${name}: ${all.length} steps; the drawing has ${middle.toFixed(2)} of the height in the middle, ` +
        `${Math.min(...all.map((one) => one.share)).toFixed(2)} at least; letters ${small.letters.toFixed(1)} px at least (step ${small.step}); ` +
        `words hidden in ${all.filter((one) => one.hidden > 1).length} steps, at most ${worst.hidden} px (step ${worst.step}); ` +
        `over each other in ${all.filter((one) => one.over.length > 0).length}`);
      for (const [label, step] of [["words", worst.step], ["letters", small.step], ["over", all.find((one) => one.over.length > 0)?.step]]) {
        if (step) {
          await page.goto(shop.at(`/v/${visit}/bench?step=${encodeURIComponent(String(step))}`));
          await settled(page);
          await picture(page, `${name}-bench-worst-${label}`);
        }
      }
      if (name === "phone") {
        assert.ok(middle >= MIDDLE_SHARE, `the drawing has ${middle} of the height`);
        assert.deepEqual(all.filter((one) => one.share < LEAST_SHARE), [], "the drawing is squeezed");
        assert.deepEqual(all.filter((one) => one.main < LEAST_MAIN), [], "the large button is too low for a glove");
      }
      assert.deepEqual(all.filter((one) => one.bottom > SIZES[name].viewport.height + 0.5), [], "the title block lies below the screen");
      assert.deepEqual([...new Set(all.flatMap((one) => one.cut))], [], "words are cut off");
      assert.deepEqual(all.filter((one) => one.hidden > 1), [], "words have to be scrolled to");
      // Where the words need the room, they come before the size of the letters in the drawing.
      const least = (/** @type {Measured} */ one) => (one.share < SQUEEZED_SHARE ? LEAST_SQUEEZED_LETTERS : LEAST_LETTERS);
      assert.deepEqual(all.filter((one) => one.letters < least(one)), [], "letters beside a hole are too small");
      assert.deepEqual([...new Set(all.flatMap((one) => one.over))], [], "words in the drawing lie over each other");
      checkTools(all);
    } finally {
      await shop.close();
    }
  });
}
