// The sheet that is shown: brought up to date by the server, followed by the next, or taken from those kept for the time
// without a connection.

import { fit, turn, turned } from "./drawing.js";
import { markNext } from "./holes.js";
import { find, hand, page, tell } from "./page.js";
import { patchChildren } from "./patch.js";
import { rest, sheetKey, whenUp } from "./safe.js";
import { announceSheet } from "./said.js";
import { showAgain } from "./waits.js";

/** How long a page is waited for before the work goes on with what is kept, ms. */
const PATIENCE_MS = 2_500;

/** Whether what is shown was taken from the kept sheets and the server's own is still to come. */
let isBehind = false;

/** Pages are asked for in turn; an answer that is older than what is shown is not shown. */
let asked = 0;
let shown = 0;

/**
 * Fetches, and gives up after a time.
 * @param {string} way
 * @param {RequestInit} [how]
 * @param {number} [patience_ms]
 */
export async function fetchSoon(way, how = {}, patience_ms = PATIENCE_MS) {
  const stop = new AbortController();
  const timer = setTimeout(() => stop.abort(), patience_ms);
  try {
    const answer = await fetch(way, { ...how, signal: stop.signal });
    return { answer, text: await answer.text() };
  } finally {
    clearTimeout(timer);
  }
}

/** Whether the server has everything of this device, but for what it refuses. */
export async function isSent() {
  return hand.outbox !== null && (await hand.outbox.waiting()).length === 0;
}

/**
 * Fetches a page of this visit and shows it; stays as it is without a connection.
 * @param {string} way
 * @returns {Promise<boolean>}
 */
async function fetchAndShow(way) {
  const turnOf = ++asked;
  try {
    const { answer, text } = await fetchSoon(way, { headers: { accept: "text/html" } }, isBehind ? 20_000 : PATIENCE_MS);
    if (!answer.ok || answer.redirected || turnOf < shown || !(await isSent())) {
      return answer.ok && turnOf < shown;
    }
    shown = turnOf;
    isBehind = false;
    whenFree(() => turnOf >= shown && replace(text));
    return true;
  } catch {
    return false;
  }
}

/** Brings this page up to date. */
export async function refresh() {
  if (page.visit && (await isSent())) {
    await fetchAndShow(location.href);
  }
}

/** Brings the page up to date where it ran ahead of the server. */
export async function catchUpIfBehind() {
  if (isBehind) {
    await refresh();
  }
}

/** What waits until nothing that was opened is open. @type {(() => void) | null} */
let whenClosed = null;

/**
 * Does something once no finger is down and no menu is open; a newer thing takes the place of one that waits.
 * @param {() => void} work
 */
function whenFree(work) {
  if (document.querySelector("dialog[open]")) {
    whenClosed = work;
  } else {
    whenClosed = null;
    whenUp(() => document.querySelector("dialog[open]") ? whenFree(work) : work());
  }
}

document.addEventListener("close", () => setTimeout(() => {
  if (whenClosed && !document.querySelector("dialog[open]")) {
    whenFree(whenClosed);
  }
}), true);

/** @param {string} html */
export function replace(html) {
  const fresh = new DOMParser().parseFromString(html, "text/html");
  const seen = Number(fresh.body.dataset.seen ?? 0);
  if (seen < Number(page.seen ?? 0)) {
    return;
  }
  page.seen = String(Math.max(Number(page.seen ?? 0), seen));
  if (page.plan && fresh.body.dataset.plan && page.plan !== fresh.body.dataset.plan) {
    tell(fresh.body.dataset.planChange ?? "Planned anew.");
  }
  page.plan = fresh.body.dataset.plan ?? page.plan;
  document.title = fresh.title;
  document.body.className = fresh.body.className;
  settle(() => patchChildren(document.body, fresh.body));
}

/**
 * Changes what is shown; what writes rests afterwards where another sheet is shown, or the rows of a page have moved.
 * @param {() => boolean} change
 */
function settle(change) {
  const [keyBefore, turnedBefore] = [sheetKey(), turned()];
  const isChanged = change();
  const isBench = find(".sheet") !== null;
  find(".picture")?.removeAttribute("data-turned");
  if (turnedBefore !== null && turnedBefore === find(".sheet")?.dataset.step) {
    turn();
  }
  if (isBench ? keyBefore !== sheetKey() : isChanged) {
    rest();
  }
  if (keyBefore !== sheetKey()) {
    announceSheet();
  }
  fit();
  markNext();
  showAgain();
  document.dispatchEvent(new Event("sheet"));
}

/** Keeps the sheets to come on this device, for the time without a connection. */
export async function keepAhead() {
  const sheetNow = find(".sheet");
  if (!hand.drawer || !page.visit || !sheetNow) {
    return;
  }
  try {
    const { answer, text } = await fetchSoon(`/v/${page.visit}/bench/sheets?step=${encodeURIComponent(sheetNow.dataset.step ?? "")}`, {}, 20_000);
    if (answer.ok) {
      await hand.drawer.keepSheet(`${page.visit}/ahead`, text);
      document.dispatchEvent(new Event("sheet"));
      // Their pictures, each once: the browser keeps what is named by its content.
      const ways = new Set([...text.matchAll(/<image href="(\/picture\/\w+)"/g)].map((found) => found[1]));
      await Promise.all([...ways].map((way) => fetch(way)));
    }
  } catch {
    // No connection: the sheets kept before stay.
  }
}

/** @param {string} html */
function boxOf(html) {
  const box = document.createElement("template");
  box.innerHTML = html;
  return [...box.content.children];
}

/** The sheets kept on this device that come after the one shown. */
async function kept() {
  return boxOf((hand.drawer && page.visit ? await hand.drawer.sheet(`${page.visit}/ahead`) : null) ?? "");
}

/** After a tick: the next sheet, from the server or from what is kept. */
/** @param {HTMLElement} from */
export async function goOn(from) {
  const sheetNow = from.closest(".sheet");
  if (!sheetNow) {
    await refresh();
    return;
  }
  if ((await isSent()) && (await fetchAndShow(`/v/${page.visit}/bench`))) {
    history.replaceState(null, "", `/v/${page.visit}/bench`);
    keepAhead();
    return;
  }
  isBehind = true;
  if (!(await showKept(sheetNow, 1))) {
    tell("The next sheets are not on this device. They come when the server is back; what you tapped is kept.");
  }
}

/**
 * The sheet that is shown with its menus, to be shown again when its tap is taken back.
 * @returns {string}
 */
export function sheetNowHtml() {
  const parts = [".sheet", "#happened", "#more"].map((name) => find(name)?.cloneNode(true)).filter((one) => one instanceof Element);
  return parts.map((one) => /** @type {Element} */ (one).outerHTML).join("");
}

/**
 * Shows a sheet that was kept as text.
 * @param {Iterable<Element>} parts - the sheet and its menus
 */
function showParts(parts) {
  settle(() => {
    for (const one of parts) {
      const was = find(one.matches(".sheet") ? ".sheet" : `#${one.id}`);
      was?.replaceWith(document.importNode(one, true));
    }
    return true;
  });
}

/**
 * Shows the sheet again whose tap was taken back; where there is none, or it is of no sheet, what is shown stays.
 * @param {string} html
 */
export function showAgainSheet(html) {
  if (find(".sheet") && html !== "") {
    isBehind = true;
    showParts(boxOf(html));
  }
}

/**
 * The kept sheets with their menus, and the place of the one that is shown among them; -1 where it is not.
 * @param {Element} sheetNow
 */
async function keptFrom(sheetNow) {
  const all = await kept();
  const key = sheetKey();
  const step = /** @type {HTMLElement} */ (sheetNow).dataset.step;
  const keyOf = (/** @type {Element} */ box) => {
    const says = find(".main[data-says]", box)?.dataset.says ?? "[]";
    return JSON.stringify([find(".sheet", box)?.dataset.step, JSON.parse(says).map((/** @type {any} */ body) => [body.kind, body.fixing, body.to, body.stage])]);
  };
  const exact = all.findIndex((box) => keyOf(box) === key);
  return { all, at: exact >= 0 ? exact : all.findIndex((box) => find(".sheet", box)?.dataset.step === step) };
}

/**
 * The kept sheets of the steps after the one that is shown.
 * @param {number} count
 */
export async function keptAfter(count) {
  const sheetNow = find(".sheet");
  if (!sheetNow) {
    return [];
  }
  const { all, at } = await keptFrom(sheetNow);
  const after = at < 0 ? [] : all.slice(at + 1).flatMap((box) => find(".sheet", box) ?? []);
  // Of a step that is ticked in passes the first sheet stands for all.
  return after.filter((sheet, place) => sheet.dataset.step !== (after[place - 1] ?? sheetNow).dataset.step).slice(0, count);
}

/**
 * Shows the kept sheet that is a number of sheets after this one.
 * @param {Element} sheetNow
 * @param {number} by
 */
export async function showKept(sheetNow, by) {
  const { all, at } = await keptFrom(sheetNow);
  const next = all[at + by];
  if (at < 0 || !next) {
    return false;
  }
  isBehind = true;
  showParts(next.children);
  return true;
}

/** A page that was kept is as old as the last answer of the server: goes on past the sheets whose taps still wait here. */
export async function catchUp() {
  const waiting = hand.drawer ? await hand.drawer.all() : [];
  const undone = new Set(waiting.map((event) => /** @type {any} */ (event.body).event));
  const said = new Set(waiting.filter((event) => !undone.has(event.id)).map((event) => JSON.stringify(event.body)));
  for (let sheetNow = find(".sheet"); sheetNow; sheetNow = find(".sheet")) {
    const bodies = JSON.parse(find(".main[data-says]", sheetNow)?.dataset.says ?? "[]");
    const isSaid = bodies.length > 0 && bodies.every((/** @type {any} */ body) => said.has(JSON.stringify(body)));
    if (!isSaid || !(await showKept(sheetNow, 1))) {
      return;
    }
  }
}
