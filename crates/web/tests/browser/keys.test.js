// A whole job by keys alone, and by ear: each sheet is read in the order of the work from the accessibility tree, and a change is
// said in a live region. The little book in every run, with the thermostat of the demo's bus begun; the long run works that to its end.

import assert from "node:assert/strict";
import path from "node:path";
import { after, before, test } from "node:test";

import { browser, rested, root, settled, Shop } from "./shop.js";

/** @typedef {import("playwright-core").Page} Page */

/** @type {import("playwright-core").Browser} */
let chrome;
before(async () => { chrome = await browser(); });
after(async () => { await chrome.close(); });

/** Most presses that a job may need. */
const MAX_PRESSES = 260;

/** How far the thermostat is worked where the run is not the long one. */
const SOME_PRESSES = 14;

/**
 * One thing that is read: its kind and its words.
 * @typedef {{role: string, name: string, isButton: boolean}} Heard
 */

/**
 * What a screen reader comes to on the page, in its order.
 * @param {Page} page
 * @returns {Promise<Heard[]>}
 */
async function heard(page) {
  const session = await page.context().newCDPSession(page);
  const { nodes } = /** @type {{nodes: any[]}} */ (await session.send("Accessibility.getFullAXTree"));
  await session.detach();
  const byId = new Map(nodes.map((node) => [node.nodeId, node]));
  /** @type {Heard[]} */
  const all = [];
  const walk = (/** @type {any} */ node) => {
    const [role, name] = [node.role?.value ?? "", (node.name?.value ?? "").trim()];
    if (!node.ignored && name !== "" && role !== "InlineTextBox") {
      all.push({ role, name, isButton: ["button", "link"].includes(role) });
    }
    for (const id of node.childIds ?? []) {
      const child = byId.get(id);
      if (child) walk(child);
    }
  };
  walk(nodes[0]);
  return all;
}

/** What the sheet shows of each thing, and where the hands are. @param {Page} page */
const shown = (page) => page.evaluate(() => {
  const sheet = /** @type {HTMLElement | null} */ (document.querySelector(".sheet"));
  const main = /** @type {HTMLButtonElement | null} */ (document.querySelector(".sheet .main"));
  const text = (/** @type {string} */ selector) => (/** @type {HTMLElement | null} */ (sheet?.querySelector(selector))?.textContent ?? "").replace(/\s+/g, " ").trim();
  return {
    step: sheet?.dataset.step ?? "", says: main?.dataset.says ?? "", asks: main?.dataset.ask ?? null, isOff: main?.disabled ?? true, label: main?.textContent ?? "",
    station: text(".place .station"), part: text(".place .part"), danger: text(".caution strong"), sentence: text("h1.sentence"), size: text(".tool .size") || text(".tool .stack"),
    figure: text(".reach .figure"), slot: text(".reach .slot"), hasHoles: sheet?.querySelector(".drawn:not(.gone) [data-hole]") !== null && !sheet?.classList.contains("wordy"),
    said: document.querySelector("#said")?.textContent ?? "", isInHand: document.activeElement === main,
  };
});

/**
 * That a sheet is read in the order of the work: where, which hole, dangers, what, with what, how tight, where to.
 * @param {Page} page
 */
async function checkHeard(page) {
  const now = await shown(page);
  const all = await heard(page);
  const told = all.map(({ name }) => name.replace(/\s+/g, " "));
  const at = (/** @type {string} */ words, from = 0) => told.findIndex((name, place) => place >= from && name.includes(words));
  const after = (/** @type {string} */ words) => {
    // The heading holds its own words once more.
    const exact = told.findIndex((name, place) => place > heading + 1 && name === words);
    return exact >= 0 ? exact : at(words, heading + 2);
  };
  const main = all.findIndex(({ role }) => role === "main");
  assert.ok(main >= 0, `${now.step}: no main landmark`);
  const heading = all.findIndex(({ role, name }) => role === "heading" && name.replace(/\s+/g, " ") === now.sentence);
  assert.ok(heading > main, `${now.step}: the sentence is no heading: ${told.slice(0, 20)}`);
  const order = [["place", at(now.station || now.part, main + 1)]];
  if (now.hasHoles) {
    const holes = all.findIndex(({ isButton, name }) => isButton && /^(\d+, )?hole [^:]+: \S/.test(name));
    assert.ok(holes > 0, `${now.step}: no hole is read`);
    order.push(["holes", holes]);
  }
  if (now.danger) order.push(["danger", at(now.danger, main + 1)]);
  order.push(["heading", heading]);
  if (now.size) order.push(["tool", after(now.size)]);
  if (now.figure) order.push(["figure", after(now.figure)]);
  if (now.slot) order.push(["slot", after(now.slot)]);
  order.push(["button", all.findIndex(({ isButton, name }, place) => place > heading && isButton && name.replace(/\s+/g, " ") === now.label.replace(/\s+/g, " ").trim())]);
  const places = order.map(([, place]) => Number(place));
  assert.ok(places.every((place, n) => place >= 0 && (n === 0 || place > places[n - 1])), `${now.step}: ${JSON.stringify(order)}\n${told.slice(0, 60).join("\n")}`);
}

/** Answers what a button asks, by keys. @param {Page} page */
async function answerByKeys(page) {
  await page.waitForSelector("dialog[open] input");
  for (let n = 0; n < 8 && !(await page.evaluate(() => document.activeElement?.matches("dialog[open] form button"))); n += 1) {
    if (await page.evaluate(() => document.activeElement?.matches("dialog[open] input") && /** @type {HTMLInputElement} */ (document.activeElement).value === "")) {
      await page.keyboard.type("test hand");
    }
    await page.keyboard.press("Tab");
  }
  await rested(page);
  await page.keyboard.press("Enter");
}

/**
 * Works a visit by keys from the sheet that is shown; gives how many presses it took.
 * @param {Page} page
 * @param {number} most
 */
async function workByKeys(page, most) {
  /** @type {Set<string>} */
  const looked = new Set();
  for (let n = 0; n < most; n += 1) {
    await settled(page);
    const now = await shown(page);
    if (now.step === "") {
      return n;
    }
    if (!looked.has(now.step)) {
      looked.add(now.step);
      await checkHeard(page);
    }
    assert.ok(!now.isOff, `${now.step}: ${now.label}`);
    await page.keyboard.press("Enter");
    if (now.asks !== null) {
      await answerByKeys(page);
    }
    await page.waitForFunction(([step, says]) => {
      const main = /** @type {HTMLElement | null} */ (document.querySelector(".sheet .main"));
      return document.querySelector(".sheet") === null || document.querySelector(".sheet")?.getAttribute("data-step") !== step || main?.dataset.says !== says;
    }, [now.step, now.says]);
    await settled(page);
    // What is shown now is said: its sentence, or that every step is done.
    await page.waitForFunction(() => {
      const plain = (/** @type {string | null | undefined} */ text) => (text ?? "").toLowerCase().replace(/newton metres/g, "n·m").replace(/[^a-z0-9]+/g, " ").trim();
      return plain(document.querySelector("#said")?.textContent).includes(plain(document.querySelector("h1")?.textContent));
    }, undefined, { timeout: 5_000 });
  }
  return most;
}

/** Tabs until what is in hand fits. @param {Page} page @param {string} selector */
async function tabTo(page, selector) {
  for (let n = 0; n < 80; n += 1) {
    if (await page.evaluate((one) => document.activeElement?.matches(one) ?? false, selector)) {
      return;
    }
    await page.keyboard.press("Tab");
  }
  assert.fail(`no way to ${selector} by Tab`);
}

test("a small job by keys alone, read in the order of the work", { timeout: 300_000 }, async () => {
  const shop = new Shop();
  try {
    const visit = shop.begin();
    await shop.start();
    const page = await shop.device(chrome, { viewport: { width: 1280, height: 800 } }, "keys");
    await shop.open(page, visit, "bench");
    // A hole by Tab and Enter, and back by Page Up; both are said.
    await rested(page);
    await page.keyboard.press("t");
    await settled(page);
    await tabTo(page, "[data-hole]");
    await rested(page);
    const hole = await page.evaluate(() => /** @type {HTMLElement} */ (document.activeElement).dataset.hole);
    await page.keyboard.press("Enter");
    await page.waitForFunction((one) => (document.querySelector("#said")?.textContent ?? "").startsWith(`Hole ${one}: off.`), hole);
    await settled(page);
    await page.keyboard.press("PageUp");
    await page.waitForFunction(() => /Taken back/.test(document.querySelector("#told")?.textContent ?? "") && document.querySelector("#told")?.getAttribute("role") === "status");
    await settled(page);
    // The arrows turn the sheets, the menus open by Tab and close by Escape.
    const first = (await shown(page)).step;
    await page.keyboard.press("ArrowRight");
    await page.waitForFunction((step) => document.querySelector(".sheet")?.getAttribute("data-step") !== step, first);
    await settled(page);
    for (let n = 0; n < 5 && (await shown(page)).step !== first; n += 1) {
      const { step } = await shown(page);
      await page.keyboard.press("ArrowLeft");
      await page.waitForFunction((was) => document.querySelector(".sheet")?.getAttribute("data-step") !== was, step);
      await settled(page);
    }
    assert.equal((await shown(page)).step, first, "the arrow leads back");
    await tabTo(page, "[data-open=happened]");
    await page.keyboard.press("Enter");
    await page.waitForSelector("#happened[open]");
    await page.keyboard.press("Escape");
    await tabTo(page, ".sheet .main");
    const presses = await workByKeys(page, MAX_PRESSES);
    assert.ok(presses > 5 && presses < MAX_PRESSES, `${presses} presses`);
    assert.match(shop.run("ledger").out, /nothing is open/);
    console.log(`the little job: ${presses} presses`);
  } finally {
    await shop.close();
  }
});

test("the thermostat by keys alone", { timeout: 900_000 }, async () => {
  const shop = new Shop();
  try {
    const { out } = shop.run("visit", "new", "--book", path.join(root, "demo/books/tern-24"), "--store", path.join(root, "demo/store"), "--name", "test bus", "--seconds", "5", "--task", "renew-thermostat");
    const visit = /id +(\S+)/.exec(out)?.[1] ?? "";
    await shop.start();
    const page = await shop.device(chrome, { viewport: { width: 1280, height: 800 } }, "keys");
    await shop.open(page, visit, "bench");
    const isLong = process.env.TRAYWRIGHT_LONG === "1";
    const presses = await workByKeys(page, isLong ? MAX_PRESSES : SOME_PRESSES);
    assert.ok(isLong ? presses > 40 && presses < MAX_PRESSES : presses === SOME_PRESSES, `${presses} presses`);
    console.log(`the thermostat: ${presses} presses`);
  } finally {
    await shop.close();
  }
});
