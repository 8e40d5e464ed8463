// What the scripts of a page share: its data, what it has in hand, and how it speaks to the person.

/** The data of the page: device, visit, and the newest round of events that it has seen. */
export const page = document.body.dataset;

/**
 * What the page has in hand once it has started; `skew_ms` is how far the device's clock is ahead of the server's.
 * @type {{outbox: import("./outbox.js").Outbox | null, drawer: Awaited<ReturnType<typeof import("./drawer.js").openDrawer>> | null, skew_ms: number}}
 */
export const hand = { outbox: null, drawer: null, skew_ms: Number(localStorage.getItem("skew") ?? 0) };

/**
 * @param {string} selector
 * @param {ParentNode} [within]
 * @returns {HTMLElement | null}
 */
export const find = (selector, within = document) => /** @type {HTMLElement | null} */ (within.querySelector(selector));

/** How long a message stands, ms: at least, and for each letter; a person reads about fifteen letters a second. */
const STANDS_MS = 4_000;
const STANDS_MS_PER_LETTER = 70;

/**
 * Says something in a line above the page that goes by itself, or by a tap; nothing waits for it.
 * @param {string} text
 */
export function tell(text) {
  // Beside the body, so that no fresh sheet takes it away.
  let box = find("#told");
  if (!box) {
    box = document.documentElement.appendChild(document.createElement("div"));
    box.id = "told";
    box.setAttribute("role", "status");
  }
  [...box.children].filter((line) => line.textContent === text).forEach((line) => line.remove());
  const line = box.appendChild(document.createElement("p"));
  line.textContent = text;
  const open = document.querySelector("dialog[open]");
  if (open && "showPopover" in box) {
    // Above what is open, without taking part in it.
    box.setAttribute("popover", "manual");
    box.hidePopover();
    box.showPopover();
  } else {
    box.removeAttribute("popover");
  }
  setTimeout(() => line.remove(), STANDS_MS + STANDS_MS_PER_LETTER * text.length);
}

/**
 * A length of time in words, for messages.
 * @param {number} ms
 * @returns {string}
 */
export function timeWords(ms) {
  const [value, unit] = ms >= 172_800_000 ? [ms / 86_400_000, "day"] : ms >= 7_200_000 ? [ms / 3_600_000, "hour"] : [ms / 60_000, "minute"];
  const whole = Math.round(value);
  return `about ${whole} ${unit}${whole === 1 ? "" : "s"}`;
}

export function isTyping() {
  const active = document.activeElement;
  return active instanceof HTMLInputElement || active instanceof HTMLTextAreaElement;
}
