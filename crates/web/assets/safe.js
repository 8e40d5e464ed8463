// A tap counts for the sheet on which the finger went down, and only once it has stood for a moment: a second tap, or one
// that comes while another device changes the sheet, ticks nothing that was not meant.

import { find, tell } from "./page.js";

/** How long what writes rests after a sheet has changed, ms: two taps of one hand are up to 400 apart. */
export const REST_MS = 700;

/** When the rest is over, by the page's own clock. */
let restsUntil_ms = 0;

/** A tap that comes sooner after another, and nearer to it, is its second half and needs no word, ms and px. */
const SECOND_TAP_MS = 500;
const SECOND_TAP_PX = 40;

/**
 * Where the finger went down: the sheet and the button of that moment, whether it was awake, and whether it is the second half
 * of the tap before.
 * @type {{sheet: string, button: string, isAwake: boolean, isSecond: boolean, at_ms: number, x: number, y: number} | null}
 */
let down = null;

/** Whether a finger is on the page. */
let isDown = false;

/** What waits until no finger is on the page. @type {(() => void)[]} */
const later = [];

/**
 * What the large button of the sheet stands for: the step, and the pass of it; not how many holes are left.
 * @returns {string}
 */
export function sheetKey() {
  const sheet = find(".sheet");
  const says = find(".main[data-says]", sheet ?? document.createElement("i"))?.dataset.says ?? "[]";
  const what = JSON.parse(says).map((/** @type {any} */ body) => [body.kind, body.fixing, body.to, body.stage]);
  return sheet ? JSON.stringify([sheet.dataset.step, what]) : location.pathname;
}

/** @param {Element | null} button */
const buttonKey = (button) => (button instanceof HTMLElement ? JSON.stringify({ ...button.dataset }) : "");

const WRITES = "[data-says], [data-happened], [data-undo], [data-ask], [data-hole], [data-tells], [data-off], form[data-form] button";

/** What writes rests, and shows it. */
export function rest() {
  restsUntil_ms = performance.now() + REST_MS;
  const root = document.documentElement;
  delete root.dataset.rest;
  root.dataset.resting = "";
  requestAnimationFrame(() => { if ("resting" in root.dataset) root.dataset.rest = ""; });
  setTimeout(() => {
    if (performance.now() >= restsUntil_ms - 1) {
      delete root.dataset.resting;
      delete root.dataset.rest;
    }
  }, REST_MS + 20);
}

/** @returns {boolean} */
const isAwake = () => performance.now() >= restsUntil_ms;

/**
 * Whether a click is meant for what it lands on; says so where it is not.
 * @param {MouseEvent} event
 * @returns {boolean}
 */
export function isMeant(event) {
  const button = /** @type {Element} */ (event.target).closest(WRITES);
  if (!button) {
    return true;
  }
  // Keys and pedals have no finger to go down; they wait for the rest to be over as well.
  const isByFinger = event.detail > 0 && down !== null;
  const isSame = !isByFinger || (down?.sheet === sheetKey() && (button.matches("[data-hole]") || down?.button === buttonKey(button)));
  const meant = isByFinger ? down?.isAwake === true && isSame : isAwake();
  if (!meant && (!isSame || down?.isSecond !== true)) {
    tell("Not counted: the sheet had just changed. Look, then tap again.");
  }
  return meant;
}

/**
 * Does something once no finger is on the page.
 * @param {() => void} work
 */
export function whenUp(work) {
  if (isDown) {
    later.push(work);
  } else {
    work();
  }
}

/** The click of a finger comes right after it went up. */
const CLICK_FOLLOWS_MS = 60;

function lifted() {
  isDown = false;
  setTimeout(() => {
    if (!isDown) {
      later.splice(0).forEach((work) => work());
    }
  }, CLICK_FOLLOWS_MS);
}

document.addEventListener("pointerdown", (event) => {
  isDown = true;
  const button = /** @type {Element} */ (event.target).closest?.(WRITES) ?? null;
  const now_ms = performance.now();
  const [x, y] = [event.clientX, event.clientY];
  const isSecond = down !== null && now_ms - down.at_ms < SECOND_TAP_MS && Math.hypot(x - down.x, y - down.y) < SECOND_TAP_PX;
  down = { sheet: sheetKey(), button: buttonKey(button), isAwake: isAwake(), isSecond, at_ms: now_ms, x, y };
}, true);
for (const name of ["pointerup", "pointercancel"]) {
  document.addEventListener(name, lifted, true);
}
window.addEventListener("blur", lifted);
