// Holes of a drawing: a tap takes one hole a mark further or back again, a long press says which hole is meant.

import { feel } from "./feel.js";
import { draw, effects, words } from "./marks.js";
import { find, tell } from "./page.js";

/** How long a finger stays down to name a hole, ms. */
const LONG_MS = 550;

/** How far it may wander meanwhile, px. */
const WANDERS_PX = 12;

/**
 * The hole that was named last, for a problem.
 * @type {{fixing: string, hole: string} | null}
 */
let named = null;

/** Whether the press that is under way has named a hole: its click marks nothing. */
let hasNamed = false;

export const namedHole = () => named;
export const hasJustNamed = () => hasNamed;

/** @param {string} fixing @param {string} hole */
const groupsOf = (fixing, hole) => /** @type {NodeListOf<SVGElement>} */ (
  document.querySelectorAll(`[data-fixing="${CSS.escape(fixing)}"][data-hole="${CSS.escape(hole)}"]`));

/**
 * Names the hole that a problem is about, or none.
 * @param {{fixing: string, hole: string} | null} which
 */
export function nameHole(which) {
  named = which;
  document.querySelectorAll(".named-hole").forEach((one) => one.classList.remove("named-hole"));
  if (which) {
    groupsOf(which.fixing, which.hole).forEach((group) => group.classList.add("named-hole"));
  }
  for (const button of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll("[data-names]"))) {
    const one = JSON.parse(button.dataset.names ?? "null");
    button.setAttribute("aria-pressed", String(one?.fixing === which?.fixing && one?.hole === which?.hole));
  }
  const said = find("#happened [data-which]");
  if (said) {
    said.textContent = which ? `${said.dataset.which}${which.hole}` : said.dataset.none ?? "";
  }
}

/** @type {ReturnType<typeof setTimeout> | undefined} */
let pressing;

document.addEventListener("pointerdown", (event) => {
  hasNamed = false;
  const group = /** @type {SVGElement | null} */ (/** @type {Element} */ (event.target).closest?.("[data-hole]") ?? null);
  const { fixing, hole } = group?.dataset ?? {};
  clearTimeout(pressing);
  if (!fixing || !hole) {
    return;
  }
  const { clientX, clientY } = event;
  const wanders = (/** @type {PointerEvent} */ moved) => {
    if (Math.hypot(moved.clientX - clientX, moved.clientY - clientY) > WANDERS_PX) {
      clearTimeout(pressing);
    }
  };
  document.addEventListener("pointermove", wanders);
  const ends = () => { clearTimeout(pressing); document.removeEventListener("pointermove", wanders); };
  document.addEventListener("pointerup", ends, { once: true });
  document.addEventListener("pointercancel", ends, { once: true });
  pressing = setTimeout(() => {
    hasNamed = true;
    feel();
    nameHole({ fixing, hole });
    const dialog = /** @type {HTMLDialogElement | null} */ (find("#happened"));
    if (dialog && !dialog.open) {
      dialog.showModal();
    }
  }, LONG_MS);
});

document.addEventListener("contextmenu", (event) => {
  if (/** @type {Element} */ (event.target).closest?.("[data-hole]")) {
    event.preventDefault();
  }
});

/** @param {string} fixing @param {string} hole */
const keyOf = (fixing, hole) => `${fixing} ${hole}`;

/**
 * What a tap on a hole writes: its mark, with what the step sets besides where nothing is left to do; or, for a hole that has
 * its mark already, that it is taken back.
 * @param {SVGElement} group
 * @param {(fixing: string, hole: string) => Promise<string | null>} eventOf - the event of this device that marked a hole alone
 * @returns {Promise<{bodies: any[], isLast: boolean, takesBack: boolean, to: string} | null>} nothing where the step asks nothing of this hole
 */
export async function tapBodies(group, eventOf) {
  const { fixing, hole, state } = group.dataset;
  const tick = find(".main[data-says]", group.closest(".sheet") ?? document);
  if (!fixing || !hole || !state) {
    return null;
  }
  if (!tick) {
    tell("Holes are marked while the step can be ticked. A long press says which hole a problem is about.");
    return null;
  }
  const all = JSON.parse(tick.dataset.says ?? "[]");
  const done = /** @type {Record<string, any>} */ (JSON.parse(tick.dataset.done ?? "{}"));
  const back = done[keyOf(fixing, hole)];
  if (back) {
    const event = await eventOf(fixing, hole);
    delete done[keyOf(fixing, hole)];
    keepLeft(tick, all.map((/** @type {any} */ body) => isOf(body, fixing, back.to) ? { ...body, holes: [...body.holes, { hole, from: back.from }] } : body), done);
    const bodies = event ? [{ kind: "undone", event }] : [{ kind: "marked", fixing, holes: [{ hole, from: state }], to: back.from, ...(back.stage ? { stage: back.stage } : {}) }];
    return { bodies, isLast: false, takesBack: true, to: back.from };
  }
  const wanted = all.find((/** @type {any} */ body) =>
    body.kind === "marked" && body.fixing === fixing && body.holes.some((/** @type {any} */ was) => was.hole === hole));
  if (!wanted) {
    tell("Nothing of this step is left to do at this hole. A long press says which hole a problem is about.");
    return null;
  }
  const from = wanted.holes.find((/** @type {any} */ was) => was.hole === hole).from;
  const shown = (/** @type {string} */ ofFixing, /** @type {string} */ ofHole) =>
    done[keyOf(ofFixing, ofHole)] ? done[keyOf(ofFixing, ofHole)].to : undefined;
  const renewed = all.filter((/** @type {any} */ body) => body.kind === "renewed" && body.fixing === fixing && body.holes.includes(hole))
    .map((/** @type {any} */ body) => ({ ...body, holes: [hole] }));
  // A part that goes on in the same tap is on with the first fastener; one that comes off has a sheet to itself.
  const on = all.filter((/** @type {any} */ body) => body.kind === "part-on");
  const bodies = [...on, ...renewed, { ...wanted, holes: [{ hole, from: state }] }, ...effects(all, { fixing, hole }, shown)];
  done[keyOf(fixing, hole)] = { from, to: wanted.to };
  const left = all.filter((/** @type {any} */ body) => body.kind !== "part-on" && body.kind !== "part-off").map((/** @type {any} */ body) => body.fixing !== fixing ? body
    : body.kind === "renewed" ? { ...body, holes: body.holes.filter((/** @type {string} */ one) => one !== hole) }
    : body.kind === "marked" ? { ...body, holes: body.holes.filter((/** @type {any} */ was) => was.hole !== hole) } : body);
  const count = keepLeft(tick, left, done);
  return { bodies, isLast: count === 0, takesBack: false, to: wanted.to };
}

/** @param {any} body @param {string} fixing @param {string} to */
const isOf = (body, fixing, to) => body.kind === "marked" && body.fixing === fixing && body.to === to;

/**
 * Keeps on the large button what is left of the step, and says how many that are.
 * @param {HTMLElement} tick
 * @param {any[]} left
 * @param {Record<string, any>} done
 * @returns {number} how many holes are left
 */
function keepLeft(tick, left, done) {
  const count = left.filter((body) => body.kind === "marked").reduce((sum, body) => sum + body.holes.length, 0);
  tick.dataset.says = JSON.stringify(left);
  tick.dataset.done = JSON.stringify(done);
  if (count > 0) {
    tick.textContent = leftWords(tick.dataset.left ?? "", count);
  }
  markNext();
  return count;
}

/**
 * The words of the large button when a number of holes is left.
 * @param {string} rest - what it says behind a count: "off → A-01"
 * @param {number} count
 * @returns {string}
 */
export function leftWords(rest, count) {
  return `${count === 1 ? "Last one" : `Other ${count}`} ${rest}`;
}

/** Marks the hole that comes next in the order of the work, the passes that holes have had, and names all for the ear. */
export function markNext() {
  const sheet = find(".sheet");
  if (!sheet) {
    return;
  }
  sheet.querySelectorAll(".next-hole").forEach((one) => one.classList.remove("next-hole"));
  const says = JSON.parse(find(".main[data-says]", sheet)?.dataset.says ?? "[]");
  const next = says.find((/** @type {any} */ body) => body.kind === "marked" && body.holes.length > 0);
  sheet.querySelectorAll(".arrow, .arrow-head").forEach((one) => one.remove());
  const left = new Set(says.filter((/** @type {any} */ body) => body.kind === "marked")
    .flatMap((/** @type {any} */ body) => body.holes.map((/** @type {any} */ was) => keyOf(body.fixing, was.hole))));
  sheet.querySelectorAll("[data-hole]").forEach((group) => {
    const { fixing = "", hole = "" } = /** @type {SVGElement} */ (group).dataset;
    group.classList.toggle("had", !left.has(keyOf(fixing, hole)));
  });
  for (const svg of /** @type {NodeListOf<SVGSVGElement>} */ (sheet.querySelectorAll(".holes"))) {
    const open = /** @type {SVGElement[]} */ ([...svg.querySelectorAll("[data-hole]:not(.had)")]);
    const first = open.find((group) => group.dataset.fixing === next?.fixing && group.dataset.hole === next?.holes[0].hole);
    const group = isOrdered(svg) ? open.sort((a, b) => numberOf(a) - numberOf(b))[0] : first;
    group?.classList.add("next-hole");
    if (group && isOrdered(svg)) {
      pointTo(group, svg);
    }
  }
  const passes = /** @type {Record<string, number>} */ (JSON.parse(sheet.dataset.passes ?? "{}"));
  for (const group of /** @type {NodeListOf<SVGElement>} */ (sheet.querySelectorAll("[data-hole]"))) {
    const { fixing = "", hole = "", state = "" } = group.dataset;
    const count = state === "finger-tight" ? passes[keyOf(fixing, hole)] ?? 0 : 0;
    drawPasses(group, count);
    group.setAttribute("role", "button");
    group.setAttribute("tabindex", "0");
    if (group.classList.contains("next-hole")) {
      group.setAttribute("aria-current", "step");
    } else {
      group.removeAttribute("aria-current");
    }
    // What is written on the ring is said as well: its place in the order, and the class of its length.
    const [number, length] = [".number", ".length"].map((name) => group.querySelector(name)?.textContent ?? "");
    const name = `${number === hole ? "" : `${number}, `}hole ${hole}${length === "" ? "" : `, length ${length}`}`;
    group.setAttribute("aria-label", `${name}: ${words(state)}${count > 0 ? `, pass ${count} done` : ""}`);
  }
}

/** @param {SVGElement} group */
const placeOf = (group) => (/translate\(([-\d.]+) ([-\d.]+)\) scale\(([-\d.]+)\)/.exec(group.getAttribute("transform") ?? "") ?? []).slice(1).map(Number);

/** Room between an arrow and the rings that it joins, of a ring's radius. */
const CLEAR_RATIO = 1.25;

/** Whether the numbers of a drawing are the order of the work. @param {SVGSVGElement} svg */
const isOrdered = (svg) => /order of the work/.test(svg.querySelector("title")?.textContent ?? "");

/** @param {Element} group */
const numberOf = (group) => Number(group.querySelector(".number")?.textContent);

/**
 * One arrow to the hole that comes next, from the one before it in the order of the work.
 * @param {SVGElement} group
 * @param {SVGSVGElement} svg
 */
function pointTo(group, svg) {
  const before = [...svg.querySelectorAll("[data-hole]")].find((one) => numberOf(one) === numberOf(group) - 1);
  if (!before) {
    return;
  }
  const [[x0, y0], [x1, y1, radius]] = [placeOf(/** @type {SVGElement} */ (before)), placeOf(group)];
  const far = Math.hypot(x1 - x0, y1 - y0);
  const clear = radius * CLEAR_RATIO;
  if (far < 2 * clear + 6) {
    return;
  }
  const [dx, dy] = [(x1 - x0) / far, (y1 - y0) / far];
  const [tipX, tipY] = [x1 - dx * clear, y1 - dy * clear];
  underlay(svg, "arrow", `M${x0 + dx * clear} ${y0 + dy * clear}L${tipX - dx * 8} ${tipY - dy * 8}`);
  underlay(svg, "arrow-head", `M${tipX} ${tipY}l${-dx * 14 - dy * 6} ${-dy * 14 + dx * 6}l${dy * 12} ${-dx * 12}Z`);
}

/**
 * A path beneath the rings of a drawing.
 * @param {SVGSVGElement} svg
 * @param {string} name
 * @param {string} way
 */
function underlay(svg, name, way) {
  const path = document.createElementNS("http://www.w3.org/2000/svg", "path");
  path.setAttribute("class", name);
  path.setAttribute("d", way);
  svg.querySelector("[data-hole]")?.before(path);
}

/**
 * A notch on the ring for each pass that a fastener has had.
 * @param {SVGElement} group
 * @param {number} count
 */
function drawPasses(group, count) {
  group.querySelectorAll(".notch").forEach((one) => one.remove());
  const ring = group.querySelector(".ring");
  for (let n = 0; n < count && ring; n += 1) {
    const notch = document.createElementNS("http://www.w3.org/2000/svg", "path");
    const turn = 90 + (n - (count - 1) / 2) * 34;
    notch.setAttribute("d", "M.86 0L1.3 0");
    notch.setAttribute("class", "line notch");
    notch.setAttribute("transform", `rotate(${turn})`);
    ring.after(notch);
  }
}

/**
 * Counts a pass that a tap has done, or taken back.
 * @param {any[]} bodies
 */
export function countPasses(bodies) {
  const sheet = find(".sheet");
  if (!sheet) {
    return;
  }
  const passes = JSON.parse(sheet.dataset.passes ?? "{}");
  for (const body of bodies.filter((one) => one.kind === "marked")) {
    body.holes.forEach((/** @type {any} */ was) => { passes[keyOf(body.fixing, was.hole)] = body.stage ?? 0; });
  }
  sheet.dataset.passes = JSON.stringify(passes);
}

/**
 * Draws states on every mark of holes in the page.
 * @param {{fixing: string, hole: string, state: string}[]} all
 */
export function show(all) {
  for (const { fixing, hole, state } of all) {
    for (const group of groupsOf(fixing, hole)) {
      group.dataset.state = state;
      const mark = group.querySelector(".mark");
      if (mark) {
        draw(mark, state);
      }
    }
  }
  markNext();
}
