// Small steps of the story: open a sheet, see words, tap, read the ledger.

import { rested, settled, tick } from "../../crates/web/tests/browser/shop.js";
import { ledgerOfPage, ledgerOfText } from "./ledger.js";

/** @typedef {import("./world.js").World} World */

/** Most taps that a chapter may need to come to a step. */
const MAX_TAPS = 80;

/**
 * Opens a sheet of the visit on a device and waits until it is alive.
 * @param {World} day
 * @param {string} device
 * @param {string} sheet
 */
export async function open(day, device, sheet) {
  await day.shop.open(day.page(device), day.visit, sheet);
}

/**
 * The words that a device shows.
 * @param {World} day
 * @param {string} device
 */
export async function read(day, device) {
  return day.page(device).evaluate(() => document.body.innerText);
}

/**
 * Waits until a device shows words.
 * @param {World} day
 * @param {string} device
 * @param {RegExp} words
 */
export async function see(day, device, words) {
  await day.page(device).waitForFunction(
    ([source, flags]) => new RegExp(source, flags).test(document.body.innerText),
    [words.source, words.flags], { timeout: 20_000 },
  );
}

/**
 * Taps what a device shows and waits until all is sent.
 * @param {World} day
 * @param {string} device
 * @param {string} selector
 */
export async function tap(day, device, selector) {
  await rested(day.page(device));
  await day.page(device).locator(selector).first().tap();
  await settled(day.page(device));
}

/**
 * The step that a device shows: its sentence, what the large button says, its number of so many, and the phase.
 * @param {World} day
 * @param {string} device
 */
export async function stepOn(day, device) {
  const page = day.page(device);
  const cell = (await page.textContent("[data-cell=step]")) ?? "";
  const found = /(\d+)(?: to \d+)? of (\d+), (\w+)/.exec(cell);
  return {
    sentence: ((await page.textContent(".sheet .sentence")) ?? "").replace(/^\d+\s+/, ""),
    button: (await page.textContent(".sheet .main")) ?? "",
    number: Number(found?.[1]),
    of: Number(found?.[2]),
    phase: found?.[3] ?? "",
  };
}

/**
 * Taps the large button, counts it in the tally and waits until it is sent.
 * @param {World} day
 * @param {string} device
 */
export async function tapMain(day, device) {
  const label = await tick(day.page(device));
  day.tally.tap(label);
  await settled(day.page(device));
  return label;
}

/**
 * Taps the large button until a sentence comes up; gives what the buttons said.
 * @param {World} day
 * @param {string} device
 * @param {RegExp} sentence
 */
export async function tapUntil(day, device, sentence) {
  const said = [];
  for (let taps = 0; taps < MAX_TAPS; taps += 1) {
    const step = await stepOn(day, device);
    if (sentence.test(step.sentence)) {
      return said;
    }
    said.push(await tapMain(day, device));
  }
  throw new Error(`after ${MAX_TAPS} taps no step says ${sentence}: ${said.join(" | ")}`);
}

/**
 * Taps one hole of the drawing and waits for its mark.
 * @param {World} day
 * @param {string} device
 * @param {string} hole
 * @param {string} state
 */
export async function tapHole(day, device, hole, state) {
  const page = day.page(device);
  if (!(await page.locator(`[data-hole="${hole}"]`).first().isVisible())) {
    await page.tap("[data-turn]");
  }
  await page.locator(`[data-hole="${hole}"]`).first().tap();
  await page.waitForFunction(
    ([name, wanted]) => document.querySelector(`[data-hole="${name}"]`)?.getAttribute("data-state") === wanted,
    [hole, state],
  );
  await settled(page);
}

/**
 * The ledger as the command prints it, and its exit code.
 * @param {World} day
 */
export function ledgerByCommand(day) {
  const answer = day.runOnJournal("ledger", "--visit", day.visit);
  return { ...ledgerOfText(answer.out), code: answer.code, text: answer.out };
}

/**
 * The ledger as a device shows it.
 * @param {World} day
 * @param {string} device
 */
export async function ledgerOn(day, device) {
  await open(day, device, "ledger");
  return ledgerOfPage(day.page(device));
}

/**
 * How many entries the journal holds, by its own check; fails where the check finds something.
 * @param {World} day
 */
export function entriesInJournal(day) {
  const { code, out, err } = day.runOnJournal("check-journal");
  const entries = /(\d+) entries/.exec(out)?.[1];
  if (code !== 0 || entries === undefined) {
    throw new Error(`the journal is not sound: ${out}${err}`);
  }
  return Number(entries);
}
