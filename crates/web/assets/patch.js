// Brings what is shown to what the server says now, part by part: what a person filled in, opened or scrolled stays.

/** What a person or the script sets, which the server does not know of. */
const OWN_ATTRIBUTES = ["open", "data-rest", "data-turned"];

/**
 * Whether a person has written into a form, or is about to.
 * @param {Element} form
 * @returns {boolean}
 */
function isTouched(form) {
  const boxes = /** @type {NodeListOf<any>} */ (form.querySelectorAll("input, textarea, select"));
  return form.contains(document.activeElement) && document.activeElement instanceof HTMLElement && document.activeElement.matches("input, textarea, select")
    || [...boxes].some((box) => box instanceof HTMLSelectElement
      ? [...box.options].some((option, at) => option.selected !== (option.defaultSelected || (at === 0 && ![...box.options].some((one) => one.defaultSelected))))
      : box.type === "checkbox" || box.type === "radio" ? box.checked !== box.defaultChecked : box.value !== box.defaultValue);
}

/**
 * What tells an element from its neighbours.
 * @param {Node} node
 * @returns {string}
 */
function keyOf(node) {
  if (!(node instanceof HTMLElement)) {
    return node.nodeName;
  }
  return [node.nodeName, node.id, node.dataset.key ?? "", node.dataset.form ?? "", node.getAttribute("action") ?? ""].join(" ");
}

/**
 * @param {Element} was
 * @param {Element} now
 * @returns {boolean} whether anything is different
 */
function patchAttributes(was, now) {
  let isChanged = false;
  for (const { name } of [...was.attributes]) {
    if (!now.hasAttribute(name) && !OWN_ATTRIBUTES.includes(name)) {
      was.removeAttribute(name);
      isChanged = true;
    }
  }
  for (const { name, value } of now.attributes) {
    if (was.getAttribute(name) !== value && !(name === "open" && was.nodeName === "DIALOG")) {
      was.setAttribute(name, value);
      isChanged = true;
    }
  }
  return isChanged;
}

/**
 * Whoever works by keys keeps the hole in hand when its drawing is drawn anew.
 * @param {SVGElement | null} held
 * @param {Element} fresh
 */
function keepInHand(held, fresh) {
  const { fixing = "", hole = "" } = held?.dataset ?? {};
  const same = /** @type {SVGElement | null} */ (held && fresh.querySelector(`[data-fixing="${CSS.escape(fixing)}"][data-hole="${CSS.escape(hole)}"]`));
  same?.setAttribute("tabindex", "0");
  same?.focus();
}

/**
 * @param {Node} was
 * @param {Node} now
 * @returns {boolean}
 */
function patchNode(was, now) {
  if (was.isEqualNode(now)) {
    return false;
  }
  if (!(was instanceof Element && now instanceof Element)) {
    was.nodeValue = now.nodeValue;
    return true;
  }
  if (was instanceof HTMLFormElement && isTouched(was)) {
    return false;
  }
  if (was.id === "waiting") {
    return false;
  }
  if (was instanceof SVGElement) {
    const fresh = document.importNode(now, true);
    const held = was.contains(document.activeElement) ? /** @type {SVGElement | null} */ (document.activeElement?.closest("[data-hole]")) : null;
    was.replaceWith(fresh);
    keepInHand(held, fresh);
    return true;
  }
  if (was instanceof HTMLElement && was.dataset.own !== undefined) {
    // A script of its own fills it; it is told that the server's word has changed.
    if (patchAttributes(was, now)) {
      was.dispatchEvent(new Event("fresh"));
    }
    return false;
  }
  const isChanged = patchAttributes(was, now);
  return patchChildren(was, now) || isChanged;
}

/**
 * @param {Element} was
 * @param {Element} now
 * @returns {boolean} whether anything is different
 */
export function patchChildren(was, now) {
  let isChanged = false;
  let at = was.firstChild;
  for (const wanted of [...now.childNodes]) {
    const key = keyOf(wanted);
    let found = at;
    while (found && keyOf(found) !== key) {
      found = found.nextSibling;
    }
    if (found) {
      while (at && at !== found) {
        const next = at.nextSibling;
        isChanged = drop(at) || isChanged;
        at = next;
      }
      at = found.nextSibling;
      isChanged = patchNode(found, wanted) || isChanged;
    } else {
      was.insertBefore(document.importNode(wanted, true), at);
      isChanged = true;
    }
  }
  while (at) {
    const next = at.nextSibling;
    isChanged = drop(at) || isChanged;
    at = next;
  }
  return isChanged;
}

/**
 * Takes away what the server no longer shows; a form that a person has written into stays.
 * @param {ChildNode} node
 * @returns {boolean}
 */
function drop(node) {
  const isKept = node instanceof Element && [node, ...node.querySelectorAll("form")].some((one) => one instanceof HTMLFormElement && isTouched(one));
  if (!isKept) {
    node.remove();
  }
  return !isKept;
}
