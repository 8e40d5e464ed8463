// The mark of a fastener's state, drawn the same as on paper: what a tap changes is seen at once.

/**
 * The states, in the order of the work.
 * @typedef {"in-place" | "freed" | "off" | "finger-tight" | "tight" | "checked" | "broken" | "missing"} State
 */

const SVG = "http://www.w3.org/2000/svg";

/**
 * One shape of a mark: element name and attributes; radius 1, centre 0 0.
 * @typedef {[string, Record<string, string>]} Shape
 */

/** @type {Record<State, Shape[]>} */
const SHAPES = {
  "in-place": [["circle", { r: "0.32", class: "solid" }]],
  freed: [["circle", { r: "0.32", class: "solid" }], ["path", { d: "M.7-.7A1 1 0 1 1-.7-.7", class: "line" }]],
  off: [["circle", { r: "1", class: "line" }]],
  "finger-tight": [["circle", { r: "1", class: "line" }], ["path", { d: "M-1 0A1 1 0 0 0 1 0Z", class: "solid" }]],
  tight: [["circle", { r: "1", class: "solid" }]],
  checked: [["circle", { r: "1", class: "solid" }], ["path", { d: "M-1.35 1.35L1.35-1.35", class: "stripe" }]],
  broken: [["circle", { r: "1", class: "line" }], ["path", { d: "M-1-1L1 1M-1 1L1-1", class: "line" }]],
  missing: [["circle", { r: "1", class: "line" }], ["path", { d: "M-1-1L1 1M-1 1L1-1", class: "line" }]],
};

/** @type {Record<State, string>} */
const WORDS = {
  "in-place": "in place",
  freed: "broken loose",
  off: "off",
  "finger-tight": "finger-tight",
  tight: "tight",
  checked: "checked",
  broken: "broken",
  missing: "missing",
};

/**
 * The words of a state.
 * @param {string} state
 * @returns {string}
 */
export function words(state) {
  return WORDS[/** @type {State} */ (state)] ?? state;
}

/**
 * Draws a state into the mark of a hole.
 * @param {Element} mark - a group whose unit is the mark's radius
 * @param {string} state
 */
export function draw(mark, state) {
  const shapes = SHAPES[/** @type {State} */ (state)] ?? [];
  const parts = shapes.map(([name, attributes]) => {
    const part = document.createElementNS(SVG, name);
    for (const [key, value] of Object.entries(attributes)) {
      part.setAttribute(key, value);
    }
    return part;
  });
  mark.replaceChildren(...parts);
}

/**
 * The states that the events of a tap bring about, by fixing and hole.
 * @param {any[]} bodies
 * @returns {{fixing: string, hole: string, state: string}[]}
 */
export function changes(bodies) {
  const all = [];
  for (const body of bodies) {
    if (body.kind === "marked") {
      for (const was of body.holes) {
        all.push({ fixing: body.fixing, hole: was.hole, state: body.to });
      }
    }
  }
  return all;
}

/**
 * The states before the events of a tap, by fixing and hole; for taking it back.
 * @param {any[]} bodies
 * @returns {{fixing: string, hole: string, state: string}[]}
 */
export function before(bodies) {
  const all = new Map();
  for (const body of [...bodies].reverse()) {
    if (body.kind === "marked") {
      for (const was of body.holes) {
        all.set(`${body.fixing}/${was.hole}`, { fixing: body.fixing, hole: was.hole, state: was.from });
      }
    }
  }
  return [...all.values()];
}

/**
 * What a step sets besides its marks, where tapping this hole leaves nothing of them to do; else nothing.
 * @param {any[]} bodies - what the tick of the whole step writes
 * @param {{fixing: string, hole: string}} tapped
 * @param {(fixing: string, hole: string) => string | undefined} stateOf - the state that a hole shows
 * @returns {any[]}
 */
export function effects(bodies, tapped, stateOf) {
  const isLeft = (/** @type {any} */ body) => body.kind === "marked" && body.holes.some((/** @type {any} */ was) =>
    !(body.fixing === tapped.fixing && was.hole === tapped.hole) && stateOf(body.fixing, was.hole) !== body.to);
  return bodies.some(isLeft) ? [] : bodies.filter((body) => body.kind === "setting-changed");
}
