// What a tap records: written on this device first, shown at once, sent when it can, and taken back.

import { openDrawer } from "./drawer.js";
import { feel } from "./feel.js";
import { nameHole, show } from "./holes.js";
import { before, changes } from "./marks.js";
import { errorOfAnswer, Outbox } from "./outbox.js";
import { find, hand, page, tell } from "./page.js";
import { rest } from "./safe.js";
import { catchUpIfBehind, fetchSoon, isSent, refresh, showAgainSheet } from "./sheets.js";
import { MAX_SKEW_MS, noteDisagreement, refusalWords, showWaiting, skewWords } from "./waits.js";

/** How long the server may take over entries before they are sent again, ms. */
export const SEND_PATIENCE_MS = 20_000;

/** How long a tap waits for its entries to arrive before the work goes on without the server, ms. */
export const TAP_PATIENCE_MS = 1_500;

/**
 * @param {string} visit
 * @param {import("./outbox.js").Event[]} events
 * @param {import("./outbox.js").Contact} contact
 * @returns {Promise<import("./outbox.js").Answer>}
 */
async function post(visit, events, contact) {
  const { answer, text } = await fetchSoon(`/v/${visit}/events`, {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify({ events, ...contact }),
  }, SEND_PATIENCE_MS);
  noteClock(answer.headers.get("date"));
  if (!answer.ok) {
    const said = new DOMParser().parseFromString(text, "text/html");
    throw errorOfAnswer(answer.status, said.querySelector("[role=alert]")?.textContent ?? "");
  }
  const said = JSON.parse(text);
  // A server of before knows of no lengths: what it acknowledges need not be kept.
  return Array.isArray(said) ? { sent: said, journal: null, agrees: true, words: null, again: [], safe: Infinity } : said;
}

/**
 * Compares the server's clock with this device's; says once while the browser is open that they are far apart.
 * @param {string | null} date
 */
function noteClock(date) {
  const server_ms = Date.parse(date ?? "");
  if (Number.isNaN(server_ms)) {
    return;
  }
  hand.skew_ms = Date.now() - server_ms;
  localStorage.setItem("skew", String(hand.skew_ms));
  if (Math.abs(hand.skew_ms) > MAX_SKEW_MS && sessionStorage.getItem("skew") === null) {
    sessionStorage.setItem("skew", "told");
    tell(skewWords(hand.skew_ms));
  }
}

/**
 * Says that the server refuses entries of a visit: once while the browser is open, after that a tap on the count says it.
 * @param {import("./outbox.js").Refused} refused
 */
function tellRefused(refused) {
  const key = `refused-${refused.visit}`;
  if (sessionStorage.getItem(key) !== refused.reason) {
    sessionStorage.setItem(key, refused.reason);
    tell(refusalWords(refused));
  }
}

/**
 * Says that the journal is not what this device knew of it: once for each such word, after that a tap on the count says it.
 * @param {string} visit
 * @param {string} words
 */
function tellDisagreement(visit, words) {
  noteDisagreement(visit, words);
  if (sessionStorage.getItem(`journal-${visit}`) !== words) {
    sessionStorage.setItem(`journal-${visit}`, words);
    tell(words);
  }
}

/**
 * Writes what a tap records; resolves when it is on this device's disk and the server had a moment to take it.
 * @param {any[]} bodies
 * @param {{mayTakeBack?: boolean, shown?: {fixing: string, hole: string, state: string}[], label?: string, html?: string}} [how]
 * @returns {Promise<boolean>} whether it is written
 */
export async function say(bodies, { mayTakeBack = true, shown = changes(bodies), label = "", html = "" } = {}) {
  const { outbox, drawer } = hand;
  if (!outbox || !drawer || !page.visit) {
    tell("Not recorded: this browser keeps nothing on the device. Leave its private mode, or use another browser.");
    return false;
  }
  let events;
  try {
    events = await outbox.write(page.visit, Number(page.seen ?? 0), bodies);
  } catch (error) {
    const isFull = error instanceof DOMException && error.name === "QuotaExceededError";
    const why = isFull ? "this device has no room left on its disk. Free some" : `this device could not write it (${error}). Open the page anew`;
    tell(`Not recorded: ${why}, then tap again.`);
    return false;
  }
  document.dispatchEvent(new CustomEvent("said", { detail: events }));
  feel();
  show(shown);
  if (mayTakeBack) {
    const ids = events.map((event) => event.id);
    // Where no room is left for it, the tap stands and can be taken back where it is listed.
    await drawer.keepTap({ visit: page.visit, ids, bodies, label, html }).catch(() => undefined);
  }
  await Promise.race([outbox.send(), new Promise((resolve) => setTimeout(resolve, TAP_PATIENCE_MS))]);
  return true;
}

export async function takeBack() {
  const last = (await hand.drawer?.tapsOf(page.visit ?? ""))?.at(-1);
  if (!last) {
    tell("This device has nothing left to take back. A step that is done has its own button for it.");
    return;
  }
  nameHole(null);
  const bodies = [...last.ids].reverse().map((event) => ({ kind: "undone", event }));
  if (!(await say(bodies, { mayTakeBack: false, shown: before(last.bodies) }))) {
    return;
  }
  await hand.drawer?.forgetTap(last.visit, last.ids);
  tell(last.label === "" ? "Taken back." : `Taken back: ${last.label}`);
  if (await isSent()) {
    await refresh();
  } else {
    showAgainSheet(last.html);
  }
  rest();
}

/**
 * The event of this device that marked a hole alone, where it was its last word on it.
 * @param {string} fixing
 * @param {string} hole
 * @returns {Promise<string | null>}
 */
export async function eventOfHole(fixing, hole) {
  const taps = (await hand.drawer?.tapsOf(page.visit ?? "")) ?? [];
  const last = taps.filter((tap) => changes(tap.bodies).some((one) => one.fixing === fixing && one.hole === hole)).at(-1);
  if (!last || last.bodies.length !== 1 || last.bodies[0].holes.length !== 1) {
    return null;
  }
  await hand.drawer?.forgetTap(last.visit, last.ids);
  return last.ids[0];
}

/** Says to the server how this device stands in the visit. */
export const touch = () => (page.visit ? hand.outbox?.touch(page.visit) : hand.outbox?.send());

/** Opens what this device keeps; without it, nothing can be recorded. */
export async function openHand() {
  try {
    hand.drawer = await openDrawer();
  } catch {
    tell("This browser keeps nothing on the device, so nothing can be recorded here. Leave its private mode, or use another browser.");
    return null;
  }
  const outbox = new Outbox(page.device ?? "", hand.drawer, post, {
    now: () => Date.now(),
    random: () => crypto.getRandomValues(new Uint8Array(10)),
    changed: showWaiting,
    aside: (reason) => tell(`The server keeps one entry of this device aside: ${reason}. It is listed for someone to look at; nothing is lost.`),
    refused: tellRefused,
    disagrees: tellDisagreement,
    sent: catchUpIfBehind,
  }, page.person);
  hand.outbox = outbox;
  return outbox;
}
