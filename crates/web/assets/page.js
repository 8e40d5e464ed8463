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

/** @param {number} waiting */
export function showWaiting(waiting) {
  const count = find("#waiting-count");
  if (count) {
    count.textContent = waiting === 0 ? "0" : `${waiting} waiting`;
    const box = find("#waiting");
    if (box) {
      box.dataset.count = String(waiting);
      box.classList.toggle("waiting-some", waiting > 0);
    }
  }
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
