// The drawing of a step: stack or holes, the room that it has, and the room that the words need beside it.

import { markNext } from "./holes.js";
import { find } from "./page.js";

/** The step whose drawing was switched between stack and holes; a fresh page of the same step keeps it so. */
export function turned() {
  return find(".sheet:has(> .picture[data-turned])")?.dataset.step ?? null;
}

/** Switches the drawing between stack and holes. */
export function turn() {
  const box = find(".sheet .picture");
  box?.querySelectorAll(".drawn").forEach((drawn) => drawn.classList.toggle("gone"));
  box?.toggleAttribute("data-turned");
  const button = find("[data-turn]");
  if (button) {
    [button.textContent, button.dataset.other] = [button.dataset.other ?? "", button.textContent ?? ""];
  }
  fit();
  markNext();
}

/** How much the room of the drawing may differ from the one that it was laid out for, px. */
const SAME_PX = 6;

/** How long the server is told the room for, s. */
const ROOM_LASTS_S = 31_536_000;

/**
 * Tells the server how much room drawings have on this page, so that it lays them out at their true size.
 * @returns {boolean} whether what is shown was laid out for another room
 */
function tellRoom() {
  const drawn = find(".sheet > .picture > .drawn:not(.gone)");
  if (!drawn || drawn.clientWidth === 0) {
    return false;
  }
  const now = [drawn.clientWidth, drawn.clientHeight];
  const told = /(?:^|; )room=(\d+)x(\d+)/.exec(document.cookie)?.slice(1).map(Number) ?? [];
  if (now.every((side, at) => Math.abs(side - (told[at] ?? 0)) < SAME_PX)) {
    return false;
  }
  document.cookie = `room=${now.join("x")}; path=/; max-age=${ROOM_LASTS_S}; samesite=strict`;
  return true;
}

/** Lets the words have the room that they need; tells who listens where drawings have another room than they were made for. */
export function fit() {
  for (const words of document.querySelectorAll(".sheet > .words")) {
    pack(words);
  }
  if (tellRoom()) {
    document.dispatchEvent(new Event("room"));
  }
}

/**
 * Sets the words closer where they would have to be scrolled to otherwise; where that is not enough, the drawing makes way and
 * is one tap off.
 * @param {Element} words
 */
function pack(words) {
  const sheet = words.closest(".sheet");
  const isOver = () => words.scrollHeight > words.clientHeight + 1;
  words.classList.remove("packed");
  sheet?.classList.remove("wordy");
  if (isOver()) {
    words.classList.add("packed");
  }
  const isWordy = isOver() && sheet?.querySelector(".picture") !== null;
  sheet?.classList.toggle("wordy", isWordy);
  if (isWordy && words.classList.contains("packed")) {
    words.classList.remove("packed");
    words.classList.toggle("packed", isOver());
  }
  const button = find("[data-drawing]", sheet ?? document);
  if (button) {
    button.hidden = !isWordy;
  }
  if (!isWordy) {
    sheet?.classList.remove("drawn-over");
  }
}
