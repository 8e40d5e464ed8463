// What a person who does not look at the page has to hear: the step that is shown now, a hole that has its mark.

import { find } from "./page.js";

/** How long after a change it is said, ms: what changes within it is said together. */
const SAID_AFTER_MS = 150;

/** @type {ReturnType<typeof setTimeout> | undefined} */
let saying;

/** What is still to be said. @type {Set<string>} */
const pending = new Set();

/** A line for the ear alone, beside the body, so that no fresh sheet takes it away. */
function line() {
  let box = find("#said");
  if (!box) {
    box = document.documentElement.appendChild(document.createElement("div"));
    box.id = "said";
    box.setAttribute("role", "status");
  }
  return box;
}

/**
 * Says something to a screen reader once it has a moment.
 * @param {string} words
 */
export function announce(words) {
  const box = line();
  pending.add(words);
  clearTimeout(saying);
  saying = setTimeout(() => {
    box.textContent = [...pending].join(" ");
    pending.clear();
  }, SAID_AFTER_MS);
}

/** Says which sheet is shown: the step, where it is done, and what the voice says of it. */
export function announceSheet() {
  const sheet = find(".sheet");
  if (!sheet) {
    announce(find("h1")?.textContent ?? document.title);
    return;
  }
  const text = (/** @type {string} */ selector) => find(selector, sheet)?.innerText.replace(/\s+/g, " ").trim() ?? "";
  announce(`Step ${text("[data-cell=step]").replace(/^step\s*/, "")}. ${text(".place > p")}. ${sheet.dataset.spoken ?? ""}`);
}
