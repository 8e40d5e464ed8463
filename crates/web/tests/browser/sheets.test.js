// Every sheet at the size of a phone and of a tablet: nothing runs out of its side, nothing tapped is smaller than a thumb.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { browser, picture, settled, Shop, SIZES } from "./shop.js";

/** Lowest height of what is tapped, in px of the page: 10 mm at 160 px to the inch, LOOK's main actions are twice that. */
const LEAST_TAP = 44;

/** Sheets that are looked at as pages that print: a table, steps with drawings, labels, holes in true size. */
const PRINTED = ["kit", "jobs", "labels", "hole-cards"];

/** @type {import("playwright-core").Browser} */
let chrome;
before(async () => { chrome = await browser(); });
after(async () => { await chrome.close(); });

for (const [name, size] of Object.entries(SIZES).filter(([name]) => name !== "computer")) {
  test(`all sheets fit on a ${name}`, { timeout: 300_000 }, async () => {
    const shop = new Shop();
    try {
      const visit = shop.begin("demo/books/tern-24");
      await shop.start();
      const page = await shop.device(chrome, size, name);
      const sheets = ["ready", "bench", "trays", "readings", "tell", "pause", "ledger"].map((sheet) => [sheet, `/v/${visit}/${sheet}`]);
      await page.goto(shop.at(`/v/${visit}/bench`));
      await settled(page);
      const tightening = await stepWith(page, shop, visit, "Why this figure?");
      const slot = await slotOf(page);
      sheets.push(
        ["visits", "/"], ["devices", "/devices"], ["asides", "/asides"], ["figures", "/figures"],
        ["figures-preload", "/figures/preload?thread=M10x1.5&class=10.9&torque=45+N·m"], ["figures-wrench", "/figures/wrench"],
        ["figures-driver", "/figures/driver"], ["why", `/v/${visit}/why/${tightening}`], ["tighten", `/v/${visit}/bench?step=${tightening}`],
        ["paper", `/v/${visit}/paper`], ["slot", `/v/${visit}/slot/${encodeURIComponent(slot)}`],
        ...PRINTED.map((kind) => [`paper-${kind}`, `/v/${visit}/paper/${kind}`]),
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
        await picture(page, `${name}-all-${sheet}`, true);
        assert.ok(found.wide <= 0, `${sheet} is ${found.wide} px too wide`);
        assert.deepEqual(found.small, [], `${sheet}: too small to tap`);
      }
    } finally {
      await shop.close();
    }
  });
}

test("paper: each sheet that is listed opens as a page and as PDF, a slot tells what lies in it", { timeout: 180_000 }, async () => {
  const shop = new Shop();
  try {
    const visit = shop.begin("demo/books/tern-24");
    await shop.start();
    const page = await shop.device(chrome, SIZES.phone, "phone");
    await shop.open(page, visit, "bench");
    const slot = await slotOf(page);
    await page.goto(shop.at(`/v/${visit}/paper`));
    const links = await page.locator("a.other").evaluateAll((all) => all.map((link) => /** @type {HTMLAnchorElement} */ (link).href));
    assert.equal(new Set(links).size, links.length, "no address is listed twice");
    const kinds = links.map((link) => new RegExp(`/v/${visit}/paper/([a-z-]+)$`).exec(link)?.[1]).filter(Boolean);
    assert.ok(["pack", "resume", "kit", "labels", "hole-cards", "jobs", "tightening", "owner"].every((kind) => kinds.includes(kind)), `${kinds}`);
    for (const kind of kinds) {
      const printed = await page.request.get(shop.at(`/v/${visit}/paper/${kind}`));
      const pdf = await page.request.get(shop.at(`/v/${visit}/paper/${kind}.pdf?size=a4`));
      if (printed.status() === 409) {
        // Nothing to print: the same in both, with the reason.
        assert.match(await printed.text(), /Nothing to print.*would be empty: \w+/s);
        assert.equal(pdf.status(), 409, kind);
        continue;
      }
      assert.equal(printed.status(), 200, kind);
      assert.match(await printed.text(), /@page\{size:A4/, kind);
      assert.equal(pdf.status(), 200, kind);
      assert.equal(pdf.headers()["content-type"], "application/pdf");
      assert.equal(pdf.headers()["content-disposition"], `inline; filename="${kind}.pdf"`);
      const bytes = (await pdf.body()).toString("latin1");
      assert.ok(bytes.startsWith("%PDF-") && bytes.trimEnd().endsWith("%%EOF"), `${kind} is a whole PDF`);
    }
    assert.equal((await page.request.get(shop.at(`/v/${visit}/paper/poems`))).status(), 404);

    // Straight from the visit's plan: the step in hand fills the slot, and its link leads back to it.
    await page.goto(shop.at(`/v/${visit}/slot/${encodeURIComponent(slot)}`));
    assert.equal(await page.textContent("h1"), `Slot ${slot}`);
    assert.match(String(await page.textContent(".rows .where")), /^\d+ of \d+$/);
    await page.locator("a.other[href*='bench?step=']").first().click();
    await page.waitForSelector(".sheet .slot");
    assert.equal(await slotOf(page), slot, "the step named on the slot's page works with this slot");
    assert.equal((await page.request.get(shop.at(`/v/${visit}/slot/no-such-slot`))).status(), 404);
  } finally {
    await shop.close();
  }
});

/**
 * The slot of the step in hand, or of the first after it that has one.
 * @param {import("playwright-core").Page} page
 */
async function slotOf(page) {
  for (;;) {
    const slot = /^(?:into|from) (\S.*)$/.exec((await page.locator(".sheet .slot").allTextContents())[0] ?? "");
    if (slot) {
      return slot[1];
    }
    const next = await page.getAttribute("a[rel=next]", "href");
    assert.ok(next, "a step has a slot");
    await page.goto(new URL(next, page.url()).href);
  }
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
        return /** @type {HTMLElement | undefined} */ (one)?.dataset.number;
      }
    }
  }, [shop.at(`/v/${visit}`), words]);
  assert.ok(found, `no sheet says “${words}”`);
  return found;
}
