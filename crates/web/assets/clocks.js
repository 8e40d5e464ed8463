// Keeps the clocks of waits going, without the server; says once when a wait is over.

import { begunIn, clockWords, leftOf, SHOWN_AFTER_MS } from "./clock_words.js";
import { feel } from "./feel.js";
import { hand, page, tell } from "./page.js";

/** How often a clock is read, ms. */
const EVERY_MS = 1_000;

/** Waits that were seen to run on this page, so that their end is told. @type {Set<string>} */
const running = new Set();

/**
 * When the wait began: by the server's word, or, on a sheet that was kept ahead, by what this device has still to send.
 * @param {HTMLElement} clock
 */
async function begunOf(clock) {
  if (clock.dataset.begun !== undefined) {
    return { begun_ms: Number(clock.dataset.begun), by: clock.dataset.by ?? "" };
  }
  const events = /** @type {any[]} */ ((await hand.drawer?.all()) ?? []).filter((event) => event.stream.id === page.visit);
  const begun_ms = begunIn(events, JSON.parse(clock.dataset.begins ?? "[]"));
  return begun_ms === null ? null : { begun_ms, by: page.device ?? "" };
}

/** @param {HTMLElement} clock */
async function show(clock) {
  const [{ length = "", what = "", assumed }, begun] = [clock.dataset, await begunOf(clock)];
  if (begun === null || length === "") {
    return;
  }
  const left_ms = leftOf({ ...begun, length_s: Number(length) }, { now_ms: Date.now(), skew_ms: hand.skew_ms, device: page.device ?? "" });
  const isLong = left_ms < -SHOWN_AFTER_MS && clock.dataset.begun === undefined && clock.matches(".line");
  const words = isLong ? "" : clockWords(left_ms / 1_000, assumed !== undefined).replace(/ (min|s|h)\b/g, "\u00a0$1");
  if (clock.textContent !== words) {
    clock.textContent = words;
  }
  const key = `${what} ${begun.begun_ms}`;
  if (left_ms > 0) {
    running.add(key);
  } else if (running.delete(key)) {
    tell(`The wait is over: ${what}.`);
    feel();
  }
}

const showAll = () => document.querySelectorAll("time.clock").forEach((clock) => show(/** @type {HTMLElement} */ (clock)));

/** Keeps whatever clocks the page shows going. */
export function keepClocks() {
  setInterval(showAll, EVERY_MS);
  document.addEventListener("visibilitychange", showAll);
  document.addEventListener("fresh", showAll, true);
  showAll();
}
