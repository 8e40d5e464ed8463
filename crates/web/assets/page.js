// What the scripts of a page share: its data, what it has in hand, and how it speaks to the person.

/** The data of the page: device, visit, and the newest round of events that it has seen. */
export const page = document.body.dataset;

/**
 * What the page has in hand once it has started.
 * @type {{outbox: import("./outbox.js").Outbox | null, drawer: Awaited<ReturnType<typeof import("./drawer.js").openDrawer>> | null}}
 */
export const hand = { outbox: null, drawer: null };

/**
 * @param {string} selector
 * @param {ParentNode} [within]
 * @returns {HTMLElement | null}
 */
export const find = (selector, within = document) => /** @type {HTMLElement | null} */ (within.querySelector(selector));

/**
 * Shows how many entries wait to be sent, and how many the server refuses; why it does is there for a tap.
 * @param {number} waiting
 * @param {import("./outbox.js").Refused[]} refused
 */
export function showWaiting(waiting, refused) {
  const [box, count] = [find("#waiting"), find("#waiting-count")];
  if (!box || !count) {
    return;
  }
  const kept = refused.reduce((sum, one) => sum + one.count, 0);
  count.textContent = (waiting === 0 ? "0" : `${waiting} waiting`) + (kept === 0 ? "" : `, ${kept} refused`);
  box.dataset.count = String(waiting);
  box.classList.toggle("waiting-some", waiting + kept > 0);
  if (kept > 0) {
    box.dataset.refused = refused.map(refusalWords).join(" ");
  } else {
    delete box.dataset.refused;
  }
}

/**
 * What the server refuses of a visit, why, and what becomes of it.
 * @param {import("./outbox.js").Refused} refused
 * @returns {string}
 */
export function refusalWords({ visit, count, reason }) {
  const what = count === 1 ? "1 entry of this device was" : `${count} entries of this device were`;
  return `${what} refused by the server, for the visit ${visit}: ${reason} Nothing is lost: what was refused stays on this device and is sent again when a page is opened.`;
}

/** @param {string} text */
export function tell(text) {
  const box = find("#told") ?? document.body.appendChild(Object.assign(document.createElement("dialog"), { id: "told" }));
  const dialog = /** @type {HTMLDialogElement} */ (box);
  dialog.textContent = text;
  const close = dialog.appendChild(document.createElement("button"));
  close.textContent = "Read";
  close.dataset.close = "";
  dialog.showModal();
}

export function isTyping() {
  const active = document.activeElement;
  return active instanceof HTMLInputElement || active instanceof HTMLTextAreaElement;
}
