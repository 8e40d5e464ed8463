// The drawing of a step: stack or holes, and its size in its place beside the words.

import { markNext } from "./holes.js";
import { find } from "./page.js";

/** The step whose drawing was switched between stack and holes; a fresh page of the same step keeps it so. */
export function turned() {
  return find(".picture[data-turned]")?.closest("article")?.dataset.step ?? null;
}

/** Switches the drawing between stack and holes. */
export function turn() {
  const box = find(".sheet .picture");
  box?.querySelectorAll(".drawn").forEach((drawn) => drawn.classList.toggle("gone"));
  box?.toggleAttribute("data-turned");
  fit();
  markNext();
}

/** Free room that a drawing keeps round itself, in its own units. */
const RIM = 16;

/** Lets the drawing that is shown fill its place, and the words theirs: what is drawn may be smaller than its sheet, and
    holes are for thumbs. */
export function fit() {
  for (const svg of /** @type {NodeListOf<SVGSVGElement>} */ (document.querySelectorAll(".picture > .drawn:not(.gone) > svg"))) {
    const sheet = Number((svg.dataset.sheet ??= String(svg.viewBox.baseVal.width)));
    const ground = svg.querySelector(":scope > rect");
    if (Number(ground?.getAttribute("width")) >= sheet) {
      ground?.remove();
    }
    const drawn = svg.getBBox();
    if (drawn.width > 0 && drawn.height > 0) {
      // Never enlarged more than 2.5 times: two holes alone would fill the page.
      const width = Math.max(drawn.width + 2 * RIM, sheet / 2.5);
      const height = drawn.height + 2 * RIM;
      svg.setAttribute("viewBox", `${drawn.x + (drawn.width - width) / 2} ${drawn.y - RIM} ${width} ${height}`);
    }
  }
  for (const words of document.querySelectorAll(".sheet > .words")) {
    pack(words);
  }
}

/** Sets the words closer where they would have to be scrolled to otherwise. */
/** @param {Element} words */
function pack(words) {
  words.classList.remove("packed");
  words.classList.toggle("packed", words.scrollHeight > words.clientHeight + 1);
}
