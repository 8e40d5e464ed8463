// On a wide screen the next two sheets stand beside the one in hand: to be read, never to be tapped.

import { find, page } from "./page.js";
import { keptAfter } from "./sheets.js";

/** From this width on there is room for them, px; the style has the same. */
const WIDE = matchMedia("(min-width: 1280px) and (min-height: 600px)");

/** How many. */
const MAX_COMING = 2;

/** What acts, and what only the sheet in hand needs. */
const NOT_SHOWN = "button, a, form, input, select, textarea, .rest, .measures, .waits, .gone, .actions, .title";

/**
 * A copy of a kept sheet that says what it says and does nothing.
 * @param {Element} sheet
 */
function copyOf(sheet) {
  const copy = document.createElement("section");
  const number = Object.assign(document.createElement("p"), { className: "number", textContent: sheet.getAttribute("data-number") ?? "" });
  copy.append(number, ...[".place", ".words"].flatMap((part) => sheet.querySelector(part)?.cloneNode(true) ?? []));
  copy.querySelectorAll(NOT_SHOWN).forEach((one) => one.remove());
  for (const one of copy.querySelectorAll("*")) {
    for (const { name } of [...one.attributes]) {
      if (/^(data-|aria-|role$|tabindex$)/.test(name) || (name === "id" && one.closest("svg") === null)) one.removeAttribute(name);
    }
  }
  const heading = copy.querySelector("h1");
  heading?.replaceWith(Object.assign(document.createElement("p"), { className: "sentence", textContent: heading.textContent }));
  return copy;
}

/** Brings what stands beside the sheet up to date. */
export async function showComing() {
  const sheets = WIDE.matches && page.visit && find(".sheet") ? await keptAfter(MAX_COMING) : [];
  let box = find("#coming");
  if (!find("body > .sheet") || !WIDE.matches) {
    box?.remove();
    return;
  }
  if (!box) {
    box = document.documentElement.appendChild(document.createElement("aside"));
    box.id = "coming";
    box.inert = true;
  }
  box.replaceChildren(...sheets.map(copyOf));
}

/** Keeps them up to date from now on. */
export function watchComing() {
  WIDE.addEventListener("change", showComing);
  document.addEventListener("sheet", showComing);
  showComing();
}
