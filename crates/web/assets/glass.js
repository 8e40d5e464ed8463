// The magnifier of a picture that heads are tapped in: while a finger rests on it, a round glass beside the finger shows what lies beneath.
//
// A quick tap is none of its business, and a finger that moves at once scrolls the page. A finger that rests opens the glass: on a ring
// it moves that ring, elsewhere it sets a new one where the cross-hair stands when it is lifted. A second finger, Escape, or a page that
// is turned away leaves all as it was.

/** How often the glass enlarges. */
const TIMES = 4;

/** Radius of the glass, and how far its edge stays off the finger, a gloved one too, px. */
const RADIUS_PX = 64;
const CLEAR_PX = 44;

/** How long a finger rests before the glass opens, ms; how far it may wander meanwhile, px. */
const HOLD_MS = 160;
const WANDERS_PX = 10;

/** How long the glass is open before what it sets counts as looked at, ms; a slow tap of a gloved hand does not. (Assumption.) */
const LOOK_MS = 350;

/** How near to a ring a finger takes hold of that ring, px. */
const GRAB_PX = 28;

/** A finger slower than the first sets as finely as the glass shows, one faster than the second moves the cross-hair as far as itself, px/ms. */
const SLOW_PX_MS = 0.15;
const FAST_PX_MS = 0.7;

/** How far an arrow key moves a ring, and with Shift, thousandths of the picture's side. */
const NUDGE = 1;
const NUDGE_FAR = 10;

/** The edge of a picture, thousandths. */
const EDGE = 1000;

/**
 * A head: thousandths of the picture's width from the left and of its height from the top, and whether it was set under the glass.
 * @typedef {{across: number, down: number, is_fine?: boolean}} Head
 */

/**
 * What the glass works on.
 * @typedef {object} GlassWork
 * @property {HTMLElement} field - the box of the picture
 * @property {() => HTMLImageElement | null} image - the picture, if there is one
 * @property {() => Head[]} heads
 * @property {(at: number | null, head: Head | null) => void} set - puts a ring at a place, a new one where `at` is nothing; no head takes the ring away
 */

/**
 * A place in a box as thousandths of its sides.
 * @param {number} at
 * @param {number} from
 * @param {number} length
 * @returns {number}
 */
export const shareOf = (at, from, length) => Math.min(EDGE, Math.max(0, Math.round((at - from) / length * EDGE)));

/**
 * The box of the picture within its field, or the field where there is none: what thousandths are counted in, px.
 * @param {HTMLElement} field
 * @returns {DOMRect}
 */
export const pictureBox = (field) => (field.querySelector("img:not([hidden])") ?? field).getBoundingClientRect();

/**
 * How much of a finger's way the cross-hair goes.
 * @param {number} speed_px_ms
 * @returns {number}
 */
export function gainAt(speed_px_ms) {
  const share = Math.min(1, Math.max(0, (speed_px_ms - SLOW_PX_MS) / (FAST_PX_MS - SLOW_PX_MS)));
  return 1 / TIMES + (1 - 1 / TIMES) * share;
}

/**
 * Where the middle of the glass stands: above the finger, else beside it, within the window.
 * @param {{x: number, y: number}} finger
 * @param {{width: number, height: number}} room
 * @returns {{x: number, y: number}}
 */
export function glassPlace(finger, room) {
  const held = (/** @type {number} */ at, /** @type {number} */ side) => Math.min(side - RADIUS_PX - 2, Math.max(RADIUS_PX + 2, at));
  const above = finger.y - CLEAR_PX - RADIUS_PX;
  if (above >= RADIUS_PX + 2) {
    return { x: held(finger.x, room.width), y: above };
  }
  const way = finger.x > room.width / 2 ? -1 : 1;
  return { x: held(finger.x + way * (CLEAR_PX + RADIUS_PX), room.width), y: held(finger.y, room.height) };
}

/** @typedef {{id: number, at: number | null, x: number, y: number, lastX: number, lastY: number, last_ms: number, opened_ms: number}} Slide */

/**
 * Lets rings in a picture be set under a glass.
 * @param {GlassWork} work
 */
export function watchGlass(work) {
  const { field } = work;
  const glass = document.body.appendChild(document.createElement("div"));
  glass.className = "glass";
  glass.hidden = true;
  glass.setAttribute("aria-hidden", "true");
  /** The ring that is moved, or the mark of a new one. */
  const mark = document.createElement("span");
  mark.className = "head moving";

  /** @type {Slide | null} a finger that has opened the glass; x and y are the cross-hair's place in the field, px */
  let slide = null;
  /** @type {{id: number, x: number, y: number, timer: ReturnType<typeof setTimeout>} | null} a finger that has not yet */
  let resting = null;
  let swallowsClick = false;

  const box = () => pictureBox(field);
  /** @param {number} id */
  const ring = (id) => /** @type {HTMLElement | null} */ (field.querySelector(`.head[data-at="${id}"]`));

  /**
   * Shows what lies at a place of the field, beside a finger or a ring.
   * @param {{x: number, y: number}} at - place in the field, px
   * @param {{x: number, y: number}} beside - place in the window, px
   */
  function showGlass(at, beside) {
    const image = work.image();
    const { width, height } = box();
    const place = glassPlace(beside, { width: innerWidth, height: innerHeight });
    const moved = (/** @type {number} */ px) => `${(RADIUS_PX - px * TIMES).toFixed(1)}px`;
    Object.assign(glass.style, {
      left: `${place.x}px`, top: `${place.y}px`, backgroundImage: image ? `url("${image.src}")` : "none",
      backgroundSize: `${width * TIMES}px ${height * TIMES}px`, backgroundPosition: `${moved(at.x)} ${moved(at.y)}`,
    });
    glass.hidden = false;
    field.append(mark);
    [mark.style.left, mark.style.top] = [`${at.x}px`, `${at.y}px`];
  }

  function hideGlass() {
    glass.hidden = true;
    mark.remove();
    field.querySelectorAll(".head.lifted").forEach((one) => one.classList.remove("lifted"));
  }

  /** Leaves all as it was. */
  function cancel() {
    if (resting) {
      clearTimeout(resting.timer);
    }
    swallowsClick ||= slide !== null;
    [resting, slide] = [null, null];
    hideGlass();
  }

  /** @param {number} x @param {number} y @returns {number | null} the ring nearest to a place of the field, within reach */
  function ringAt(x, y) {
    const { width, height } = box();
    const far = work.heads().map((head) => Math.hypot(head.across / EDGE * width - x, head.down / EDGE * height - y));
    const nearest = far.indexOf(Math.min(...far));
    return nearest >= 0 && far[nearest] <= GRAB_PX ? nearest : null;
  }

  function open() {
    if (!resting || !work.image()) {
      return;
    }
    const { id, x, y } = resting;
    resting = null;
    const { left, top, width, height } = box();
    const at = ringAt(x - left, y - top);
    const head = at === null ? null : work.heads()[at];
    const from = head ? { x: head.across / EDGE * width, y: head.down / EDGE * height } : { x: x - left, y: y - top };
    slide = { id, at, ...from, lastX: x, lastY: y, last_ms: performance.now(), opened_ms: performance.now() };
    field.setPointerCapture(id);
    if (at !== null) {
      ring(at)?.classList.add("lifted");
    }
    showGlass(slide, { x, y });
  }

  field.addEventListener("pointerdown", (event) => {
    if (!event.isPrimary || resting || slide) {
      cancel();
      return;
    }
    swallowsClick = false;
    if (event.button === 0 && work.image()) {
      const { pointerId: id, clientX: x, clientY: y } = event;
      resting = { id, x, y, timer: setTimeout(open, HOLD_MS) };
    }
  });
  field.addEventListener("pointermove", (event) => {
    if (resting?.id === event.pointerId && Math.hypot(event.clientX - resting.x, event.clientY - resting.y) > WANDERS_PX) {
      // A mouse that is drawn over the picture scrolls nothing.
      event.pointerType === "mouse" ? (clearTimeout(resting.timer), open()) : cancel();
    }
    if (slide?.id !== event.pointerId) {
      return;
    }
    const { width, height } = box();
    const [dx, dy, now_ms] = [event.clientX - slide.lastX, event.clientY - slide.lastY, performance.now()];
    const gain = gainAt(Math.hypot(dx, dy) / Math.max(1, now_ms - slide.last_ms));
    slide.x = Math.min(width, Math.max(0, slide.x + dx * gain));
    slide.y = Math.min(height, Math.max(0, slide.y + dy * gain));
    [slide.lastX, slide.lastY, slide.last_ms] = [event.clientX, event.clientY, now_ms];
    showGlass(slide, { x: event.clientX, y: event.clientY });
  });
  field.addEventListener("pointerup", (event) => {
    if (slide?.id === event.pointerId) {
      const { width, height } = box();
      const { at, x, y, opened_ms } = slide;
      const isLookedAt = performance.now() - opened_ms >= LOOK_MS;
      cancel();
      work.set(at, { across: shareOf(x, 0, width), down: shareOf(y, 0, height), ...(isLookedAt ? { is_fine: true } : {}) });
    } else if (resting?.id === event.pointerId) {
      cancel();
    }
  });
  field.addEventListener("pointercancel", cancel);
  field.addEventListener("contextmenu", (event) => event.preventDefault());
  // Once the glass is open, the finger moves the cross-hair and not the page.
  field.addEventListener("touchmove", (event) => slide && event.cancelable && event.preventDefault(), { passive: false });
  field.addEventListener("click", (event) => {
    if (swallowsClick) {
      event.stopPropagation();
    }
    swallowsClick = false;
  }, true);
  document.addEventListener("pointerdown", (event) => slide && slide.id !== event.pointerId && cancel(), true);
  document.addEventListener("visibilitychange", cancel);
  addEventListener("resize", cancel);
  addEventListener("keydown", (event) => event.key === "Escape" && slide && cancel());
  nudgeByKeys(work, showGlass, hideGlass);
}

/**
 * Moves the ring that has the focus by the arrow keys.
 * @param {GlassWork} work
 * @param {(at: {x: number, y: number}, beside: {x: number, y: number}) => void} showGlass
 * @param {() => void} hideGlass
 */
function nudgeByKeys(work, showGlass, hideGlass) {
  const { field } = work;
  /** @type {Record<string, [number, number]>} */
  const ways = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
  field.addEventListener("keydown", (event) => {
    const ring = /** @type {HTMLElement | null} */ (/** @type {Element} */ (event.target).closest(".head[data-at]"));
    const at = Number(ring?.dataset.at);
    const head = ring ? work.heads()[at] : undefined;
    const way = ways[event.key];
    if (!head || !(way || event.key === "Delete" || event.key === "Backspace")) {
      return;
    }
    event.preventDefault();
    event.stopPropagation();
    if (!way) {
      hideGlass();
      work.set(at, null);
      return;
    }
    const by = event.shiftKey ? NUDGE_FAR : NUDGE;
    const held = (/** @type {number} */ share) => Math.min(EDGE, Math.max(0, share));
    const moved = { across: held(head.across + way[0] * by), down: held(head.down + way[1] * by), is_fine: true };
    work.set(at, moved);
    const { left, top, width, height } = pictureBox(field);
    const place = { x: moved.across / EDGE * width, y: moved.down / EDGE * height };
    if (work.image()) {
      showGlass(place, { x: left + place.x, y: top + place.y });
    }
  });
  field.addEventListener("focusout", hideGlass);
}
