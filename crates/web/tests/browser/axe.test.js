// Every kind of sheet and page as axe-core reads it: names of what is tapped, contrast by day and by night, landmarks, headings,
// sizes of targets. One sheet of each kind of step, each page at one size; the long run has every page at every size.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import path from "node:path";
import { after, before, test } from "node:test";
import { pathToFileURL } from "node:url";

import { browser, root, run, settled, Shop } from "./shop.js";

/** @typedef {import("playwright-core").Page} Page */

/** @type {[number, number][]} */
const SIZES = [[360, 640], [390, 844], [844, 390], [768, 1024], [1024, 768], [1280, 800]];

const IS_LONG = process.env.TRAYWRIGHT_LONG === "1";

const AXE = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

/** What is looked for: WCAG 2.2 A and AA, and what the makers of the checks call good practice. */
const TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];

/** @type {import("playwright-core").Browser} */
let chrome;
before(async () => { chrome = await browser(); });
after(async () => { await chrome.close(); });

/**
 * What axe-core finds on the page as it is shown; by night only what colours can break.
 * @param {Page} page
 * @param {string} name
 * @param {string[]} modes
 * @returns {Promise<string[]>}
 */
async function findings(page, name, modes) {
  if (!(await page.evaluate(() => "axe" in window))) {
    await page.evaluate(AXE);
  }
  return page.evaluate(async ([name, tags, modes]) => {
    /** @type {any} */
    const axe = /** @type {any} */ (window).axe;
    const root = document.documentElement;
    // Messages go by themselves; their colours are those of every bar.
    document.querySelector("#told")?.remove();
    for (const details of document.querySelectorAll("details")) details.open = true;
    // What stays at the foot of the screen covers what has still to be scrolled up.
    window.scrollTo(0, document.documentElement.scrollHeight);
    const all = [];
    for (const mode of modes) {
      root.toggleAttribute("data-night", mode === "night");
      const only = mode === "day" ? { type: "tag", values: tags } : { type: "rule", values: ["color-contrast"] };
      const { violations } = await axe.run(document, { runOnly: only, resultTypes: ["violations"] });
      for (const { id, nodes } of violations) {
        const one = nodes[0];
        all.push(`${name}, ${mode}: ${id} × ${nodes.length}: ${one.html.slice(0, 140)} ${(one.any[0] ?? one.all[0] ?? one.none[0])?.message ?? ""}`);
      }
    }
    root.removeAttribute("data-night");
    return all;
  }, /** @type {[string, string[], string[]]} */ ([name, TAGS, modes]));
}

/**
 * One sheet of every kind of step of a plan, by the first word of its lasting name: the one with the most to say.
 * @param {Page} page
 * @param {string} bench
 * @returns {Promise<[string, string][]>}
 */
async function kindsOfSteps(page, bench) {
  return page.evaluate(async (way) => {
    /** @type {Map<string, string>} */
    const kinds = new Map();
    /** @type {Map<string, number>} */
    const weights = new Map();
    for (let step = 1; ; step += 40) {
      const box = document.createElement("template");
      box.innerHTML = await (await fetch(`${way}/sheets?step=${step}`)).text();
      const sheets = /** @type {HTMLElement[]} */ ([...box.content.querySelectorAll(".sheet")]);
      if (sheets.length === 0) {
        return [...kinds];
      }
      for (const sheet of sheets) {
        // With a caution where there is one of that kind.
        const kind = (sheet.dataset.step ?? "").split(/[.:]/)[0];
        const weight = sheet.querySelectorAll(".caution, .measures, .refusal").length;
        if (!kinds.has(kind) || weight > (weights.get(kind) ?? 0)) {
          kinds.set(kind, sheet.dataset.step ?? "");
          weights.set(kind, weight);
        }
      }
    }
  }, bench);
}

/**
 * The addresses of all pages, with a name each.
 * @param {Shop} shop
 * @param {Page} page
 * @param {string} visit
 * @returns {Promise<[string, string][]>}
 */
async function allPages(shop, page, visit) {
  await page.goto(shop.at(`/v/${visit}/bench`));
  await settled(page);
  const kinds = await kindsOfSteps(page, shop.at(`/v/${visit}/bench`));
  assert.ok(kinds.length >= 8, kinds.join(" | "));
  const tighten = kinds.find(([kind]) => kind.startsWith("tighten"))?.[1] ?? "";
  const number = await page.evaluate(async (way) => {
    const box = document.createElement("template");
    box.innerHTML = await (await fetch(way)).text();
    return /** @type {HTMLElement | null} */ (box.content.querySelector(".sheet"))?.dataset.number ?? "";
  }, shop.at(`/v/${visit}/bench?step=${encodeURIComponent(tighten)}`));
  const of = ["ready", "goal", "next", "questions", "trays", "readings", "tell", "pause", "ledger", "paper", `why/${number}`];
  await page.goto(shop.at("/vehicles"));
  const vehicles = await page.locator("a[href^='/vehicles/']").evaluateAll((all) => all.map((one) => one.getAttribute("href") ?? ""));
  return [
    ...kinds.map(([kind, step]) => /** @type {[string, string]} */ ([`bench, ${kind}`, `/v/${visit}/bench?step=${encodeURIComponent(step)}`])),
    ...of.map((sheet) => /** @type {[string, string]} */ ([sheet, `/v/${visit}/${sheet}`])),
    ...["/", "/begin", "/calendar", "/today", "/vehicles", ...vehicles.slice(0, 1), "/workshop", "/figures", "/figures/wrench", "/figures/driver",
      "/figures/preload?thread=M10x1.5&class=10.9&torque=45+N·m", "/devices", "/asides", "/enter", "/nowhere", `/v/${visit}/paper/owner`, `/v/${visit}/paper/jobs`,
    ].map((way) => /** @type {[string, string]} */ ([way, way])),
  ];
}

/** @param {Page} page */
async function alive(page) {
  await page.waitForLoadState();
  if (await page.locator("script[type=module]").count() > 0 && await page.evaluate(() => document.body.dataset.device !== undefined)) {
    await settled(page);
  }
}

test("axe-core finds nothing on any kind of sheet", { timeout: 900_000 }, async () => {
  const shop = new Shop();
  const begun = Date.now();
  try {
    const visit = shop.begin("demo/books/tern-24");
    shop.more = ["--book", path.join(root, "demo/books/tern-24"), "--store", path.join(root, "demo/store")];
    await shop.start();
    const page = await shop.device(chrome, { viewport: { width: 390, height: 844 } }, "reader");
    const pages = await allPages(shop, page, visit);
    /** @type {string[]} */
    const found = [];
    let looks = 0;
    const look = async (/** @type {string} */ name, /** @type {[number, number]} */ [width, height], /** @type {() => Promise<unknown>} */ open) => {
      await page.setViewportSize({ width, height });
      await open();
      // The night has one style for all: every kind of step, and some of the pages.
      const isByNight = IS_LONG || name.startsWith("bench") || looks % 3 === 0;
      found.push(...await findings(page, `${name}, ${width} x ${height}`, isByNight ? ["day", "night"] : ["day"]));
      looks += 1;
    };
    for (const [at, [name, way]] of pages.entries()) {
      for (const size of IS_LONG ? SIZES : [SIZES[at % SIZES.length]]) {
        await look(name, size, async () => { await page.goto(shop.at(way)); await alive(page); });
      }
    }
    // What a sheet opens.
    for (const [at, menu] of ["#happened", "#more"].entries()) {
      await look(menu, SIZES[at], async () => {
        await shop.open(page, visit, "bench");
        await page.click(`[data-open=${menu.slice(1)}]`);
        await page.waitForFunction(() => document.documentElement.dataset.resting === undefined);
      });
    }
    // The way back from a pause, a visit without a book, what comes off an engine without one.
    await shop.open(page, visit, "pause");
    await page.click(".taps button");
    await page.waitForSelector("h1:has-text('Back at the bench')");
    await look("resume", SIZES[0], () => settled(page));
    const { out } = shop.run("visit", "new", "--letter", "B", "--name", "a stranger");
    const bare = /id +(\S+)/.exec(out)?.[1] ?? "";
    for (const [at, sheet] of ["bench", "next", "questions", "ledger"].entries()) {
      await look(`${sheet} without a book`, SIZES[at + 1], async () => { await page.goto(shop.at(`/v/${bare}/${sheet}`)); await alive(page); });
    }
    const folder = path.join(shop.folder, "plan");
    const planned = run("plan", "--book", path.join(root, "demo/books/tern-24"), "--store", path.join(root, "demo/store"), "--task", "renew-thermostat", "--out", folder, "--seconds", "2");
    assert.ok([0, 1].includes(planned.code ?? -1), planned.err);
    for (const size of IS_LONG ? SIZES : [SIZES[1]]) {
      await look("the plan's page", size, () => page.goto(String(pathToFileURL(path.join(folder, "tern-24.html")))));
    }
    console.log(`${looks} looks at ${pages.length + 9} sheets and pages in ${Math.round((Date.now() - begun) / 1000)} s`);
    assert.deepEqual(found, []);
  } finally {
    await shop.close();
  }
});
