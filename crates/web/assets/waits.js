// What waits on this device to be sent: how much, why it is not sent, and what to do about it.

import { carriedEvents, carryAddress, originOf } from "./carry.js";
import { find, hand, timeWords } from "./page.js";

/** @typedef {import("./outbox.js").Refused} Refused */
/** @typedef {import("./outbox.js").HoldUp} HoldUp */

/** A clock that is further off than this is told, ms. */
export const MAX_SKEW_MS = 300_000;

/** The reason in a word, for the title block. @type {Record<HoldUp["kind"], string>} */
const SHORT = { away: "no connection", slow: "slow connection", unpaired: "not paired", name: "another address", server: "server trouble" };

/** Words of the server where a journal is not what this device knew of it, by visit. @type {Map<string, string>} */
const disagreements = new Map();

/**
 * @param {string} visit
 * @param {string} words
 */
export function noteDisagreement(visit, words) {
  disagreements.set(visit, words);
  showAgain();
}

/** What is known of it now. @type {{waiting: number, refused: Refused[], holdUp: HoldUp | null}} */
let now = { waiting: 0, refused: [], holdUp: null };

/**
 * Shows how many entries wait to be sent and why, and how many the server refuses; a tap on the count says the rest.
 * @param {number} waiting
 * @param {Refused[]} refused
 * @param {HoldUp | null} holdUp
 */
export function showWaiting(waiting, refused, holdUp) {
  now = { waiting, refused, holdUp };
  const [box, count] = [find("#waiting"), find("#waiting-count")];
  if (!box || !count) {
    return;
  }
  const kept = refused.reduce((sum, one) => sum + one.count, 0);
  const why = holdUp === null ? "" : `: ${SHORT[holdUp.kind]}`;
  const text = (waiting === 0 ? "0" : `${waiting} waiting${why}`) + (kept === 0 ? "" : `, ${kept} refused`)
    + (disagreements.size === 0 ? "" : ", journal differs");
  if (count.textContent !== text) {
    count.textContent = text;
  }
  box.dataset.count = String(waiting);
  box.classList.toggle("waiting-some", waiting + kept > 0);
  box.toggleAttribute("data-why", waiting + kept + disagreements.size > 0);
}

/** The count once more, on a fresh page. */
export const showAgain = () => showWaiting(now.waiting, now.refused, now.holdUp);

/**
 * What the server refuses of a visit, why, and what becomes of it.
 * @param {Refused} refused
 * @returns {string}
 */
export function refusalWords({ visit, count, reason }) {
  const what = count === 1 ? "1 entry of this device was" : `${count} entries of this device were`;
  return `${what} refused by the server, for the visit ${visit}: ${reason} Nothing is lost: what was refused stays on this device and is sent again when a page is opened.`;
}

/**
 * What to do about a hold-up.
 * @param {HoldUp} holdUp
 * @returns {string}
 */
function wayOutWords(holdUp) {
  switch (holdUp.kind) {
    case "unpaired": return "This device is not paired any more. Pair it again: what waits is sent then.";
    case "name": return "The server has another name or address now. Open that address on this device, or carry the entries over below.";
    case "server": return `${holdUp.words} It is tried again every few seconds.`;
    case "slow": return "The server takes long to answer. It is tried again every few seconds; work on meanwhile.";
    case "away": return "The server cannot be reached. It is tried again every few seconds; work on meanwhile. If it has another address now, carry the entries over below.";
  }
}

/** @param {number} skew_ms */
export const skewWords = (skew_ms) =>
  `The clock of this device is ${timeWords(Math.abs(skew_ms))} ${skew_ms > 0 ? "ahead of" : "behind"} the server's. Set it: the times in the journal come from it.`;

/** Why what waits is not sent, in whole sentences. */
function reasons() {
  const lines = [...disagreements.values(), ...now.refused.map(refusalWords)];
  if (now.waiting > 0) {
    const count = now.waiting === 1 ? "1 entry waits" : `${now.waiting} entries wait`;
    lines.unshift(`${count} on this device. ${now.holdUp ? wayOutWords(now.holdUp) : "They are being sent."}`);
  }
  if (Math.abs(hand.skew_ms) > MAX_SKEW_MS) {
    lines.push(skewWords(hand.skew_ms));
  }
  return lines.length > 0 ? lines : ["Nothing waits: the server has everything of this device."];
}

/** @param {string} name @param {string} text */
const part = (name, text) => Object.assign(document.createElement(name), { textContent: text });

/** Opens what is to be said of what waits, with the ways out. */
export function openWaits() {
  const dialog = document.createElement("dialog");
  dialog.id = "waits";
  dialog.append(part("h2", "To send"), ...reasons().map((line) => part("p", line)));
  if (now.holdUp?.kind === "unpaired") {
    const way = Object.assign(part("a", "Pair this device again"), { href: "/enter", className: "main" });
    dialog.append(way);
  }
  if (now.waiting > 0 && ["away", "name"].includes(now.holdUp?.kind ?? "")) {
    dialog.append(carryForm());
  }
  const again = Object.assign(part("button", "Try now"), { type: "button" });
  again.addEventListener("click", () => { dialog.close(); hand.outbox?.send(); });
  const close = Object.assign(part("button", "Close"), { type: "button" });
  close.addEventListener("click", () => dialog.close());
  const choices = Object.assign(document.createElement("div"), { className: "choices" });
  choices.append(again, close);
  dialog.append(choices);
  dialog.addEventListener("close", () => setTimeout(() => dialog.remove()));
  document.body.appendChild(dialog).showModal();
}

/** Asks for the new address and goes there with what waits. It stays here as well: the server counts each entry once. */
function carryForm() {
  const form = document.createElement("form");
  const label = form.appendChild(part("label", "The server's new address, as the computer shows it"));
  const box = label.appendChild(Object.assign(document.createElement("input"), { name: "address", required: true, autocapitalize: "none", placeholder: "192.168.1.20:8080" }));
  form.appendChild(part("button", "Carry the entries over"));
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const origin = originOf(box.value, location.protocol);
    if (origin === null) {
      box.setCustomValidity("This is no address; write it as the computer shows it, such as 192.168.1.20:8080.");
      box.reportValidity();
      box.addEventListener("input", () => box.setCustomValidity(""), { once: true });
      return;
    }
    const { address } = carryAddress(origin, (await hand.drawer?.all()) ?? []);
    location.assign(address);
  });
  return form;
}

/**
 * Keeps the entries that the address of this page carries, and takes them out of the address.
 * @returns {Promise<number>} how many there were
 */
export async function takeCarried() {
  const events = carriedEvents(location.hash);
  if (events.length > 0 && hand.drawer) {
    await hand.drawer.put(events);
    history.replaceState(null, "", location.pathname + location.search);
  }
  return events.length;
}
