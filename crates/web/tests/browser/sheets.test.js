// Every sheet at the size of a phone and of a tablet: nothing runs out of its side, nothing tapped is smaller than a thumb.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { browser, picture, settled, Shop, SIZES } from "./shop.js";

/** Lowest height of what is tapped, in px of the page: 10 mm at 160 px to the inch, LOOK's main actions are twice that. */
const LEAST_TAP = 44;

/** @type {import("playwright-core").Browser} */
let chrome;
before(async () => { chrome = await browser(); });
after(async () => { await chrome.close(); });

for (const [name, size] of Object.entries(SIZES).filter(([name]) => name !== "computer")) {
  test(`all sheets fit on a ${name}`, { timeout: 180_000 }, async () => {
    const shop = new Shop();
    try {
      const visit = shop.begin("demo/books/tern-24");
      await shop.start();
      const page = await shop.device(chrome, size, name);
      const sheets = ["ready", "bench", "trays", "readings", "tell", "pause", "ledger"].map((sheet) => [sheet, `/v/${visit}/${sheet}`]);
      await page.goto(shop.at(`/v/${visit}/bench`));
      await settled(page);
      const tightening = await stepWith(page, shop, visit, "Why this figure?");
      sheets.push(
        ["visits", "/"], ["devices", "/devices"], ["asides", "/asides"], ["figures", "/figures"],
        ["figures-preload", "/figures/preload?thread=M10x1.5&class=10.9&torque=45+N·m"], ["figures-wrench", "/figures/wrench"],
        ["figures-driver", "/figures/driver"], ["why", `/v/${visit}/why/${tightening}`], ["tighten", `/v/${visit}/bench?step=${tightening}`],
      );
      for (const [sheet, way] of sheets) {
        await page.goto(shop.at(String(way)));
        const found = await page.evaluate(([least, width]) => {
          for (const details of document.querySelectorAll("details")) details.open = true;
          const small = [...document.querySelectorAll("button, a.main, a.other, input, select, summary, nav.sheets a")].filter((each) => {
            const box = each.getBoundingClientRect();
            return box.height > 0 && box.height < least;
          });
          return { wide: document.documentElement.scrollWidth - width, small: small.map((each) => each.outerHTML.slice(0, 80)) };
        }, [LEAST_TAP, size.viewport.width]);
        await picture(page, `${name}-all-${sheet}`);
        assert.ok(found.wide <= 0, `${sheet} is ${found.wide} px too wide`);
        assert.deepEqual(found.small, [], `${sheet}: too small to tap`);
      }
    } finally {
      await shop.close();
    }
  });
}

/**
 * The number of the first step whose sheet holds some words.
 * @param {import("playwright-core").Page} page
 * @param {Shop} shop
 * @param {string} visit
 * @param {string} words
 */
async function stepWith(page, shop, visit, words) {
  const found = await page.evaluate(async ([at, text]) => {
    for (let step = 1; ; step += 20) {
      const answer = await fetch(`${at}/bench/sheets?step=${step}`);
      const box = document.createElement("template");
      box.innerHTML = await answer.text();
      const sheets = [...box.content.querySelectorAll(".sheet")];
      const one = sheets.find((sheet) => sheet.textContent?.includes(String(text)));
      if (one || sheets.length === 0) {
        return /** @type {HTMLElement | undefined} */ (one)?.dataset.step;
      }
    }
  }, [shop.at(`/v/${visit}`), words]);
  assert.ok(found, `no sheet says “${words}”`);
  return found;
}
