// The sheet that is shown: fetched anew, followed by the next, or taken from those kept for the time without a connection.

import { fit, turn, turned } from "./drawing.js";
import { find, hand, isTyping, page, tell } from "./page.js";

/** Whether the server has everything of this device, but for what it refuses. */
export async function isSent() {
  return hand.outbox !== null && (await hand.outbox.waiting()).length === 0;
}

/** Fetches this page anew and puts it in the place of what is shown; stays as it is without a connection. */
export async function refresh() {
  if (!(await isSent())) {
    return;
  }
  try {
    const answer = await fetch(location.href, { headers: { accept: "text/html" } });
    if (answer.ok && !answer.redirected) {
      replace(await answer.text());
    }
  } catch {
    // No connection: what is shown stays.
  }
}

/** @param {string} html */
export function replace(html) {
  if (document.querySelector("dialog[open]") || isTyping()) {
    return;
  }
  const fresh = new DOMParser().parseFromString(html, "text/html");
  page.seen = String(Math.max(Number(page.seen ?? 0), Number(fresh.body.dataset.seen ?? 0)));
  document.title = fresh.title;
  document.body.className = fresh.body.className;
  const shown = turned();
  document.body.replaceChildren(...fresh.body.children);
  if (shown !== null && shown === find(".sheet")?.dataset.step) {
    turn();
  }
  fit();
  hand.outbox?.waiting();
}

/** Keeps the sheets to come on this device, for the time without a connection. */
export async function keepAhead() {
  const sheetNow = find(".sheet");
  if (!hand.drawer || !page.visit || !sheetNow) {
    return;
  }
  try {
    const answer = await fetch(`/v/${page.visit}/bench/sheets?step=${sheetNow.dataset.step}`);
    if (answer.ok) {
      await hand.drawer.keepSheet(`${page.visit}/ahead`, await answer.text());
    }
  } catch {
    // No connection: the sheets kept before stay.
  }
}

/** The sheets kept on this device that come after the one shown. */
async function kept() {
  const html = hand.drawer && page.visit ? await hand.drawer.sheet(`${page.visit}/ahead`) : null;
  const box = document.createElement("template");
  box.innerHTML = html ?? "";
  return [...box.content.children];
}

/** After a tick: the next sheet, from the server or from what is kept. */
/** @param {HTMLElement} from */
export async function goOn(from) {
  const sheetNow = from.closest(".sheet");
  if (!sheetNow) {
    await refresh();
    return;
  }
  if (await isSent()) {
    try {
      const answer = await fetch(`/v/${page.visit}/bench`);
      if (answer.ok && !answer.redirected) {
        history.replaceState(null, "", `/v/${page.visit}/bench`);
        replace(await answer.text());
        keepAhead();
        return;
      }
    } catch {
      // Falls through to the sheets that are kept.
    }
  }
  if (!(await showKept(sheetNow, 1))) {
    tell("The next sheets are not on this device. They come when the server is back; what you tapped is kept.");
  }
}

/** Shows the kept sheet that is a number of sheets after this one. */
/**
 * @param {Element} sheetNow
 * @param {number} by
 */
export async function showKept(sheetNow, by) {
  const all = await kept();
  const says = find("[data-says]", sheetNow)?.dataset.says;
  const step = /** @type {HTMLElement} */ (sheetNow).dataset.step;
  const same = (/** @type {Element} */ box) =>
    find(".sheet", box)?.dataset.step === step && (!says || find("[data-says]", box)?.dataset.says === says);
  const at = all.findIndex(same);
  const next = all[at + by];
  if (at < 0 || !next) {
    return false;
  }
  sheetNow.replaceWith(find(".sheet", next) ?? "");
  await hand.outbox?.waiting();
  for (const name of ["#happened", "#more"]) {
    const menu = find(name, next);
    if (menu) {
      find(name)?.replaceWith(menu);
    }
  }
  fit();
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
