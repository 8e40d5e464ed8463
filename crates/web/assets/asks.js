// What a button or a form asks in words before it is written down: the questions, and the event that the answers make.

/**
 * What a person answered, by the name of the box.
 * @typedef {Record<string, string>} Answers
 */

/**
 * @param {string | undefined} text
 * @returns {number | null} NaN where it is not a number, null where it is empty
 */
export const number = (text) => (!text || text.trim() === "" ? null : Number(text.trim().replace(",", ".")));

/** @param {string | undefined} text */
const cents = (text) => {
  const value = number(text);
  return value === null ? null : Math.round(value * 100);
};

/**
 * Boxes, each with its question and what is in it at first; and the event of the answers, `null` where they make none.
 * @typedef {{boxes: [string, string, string?][], event: (data: Answers, set: DOMStringMap) => object | object[] | null}} Ask
 */

/**
 * What a tick writes, and a note with it of why it is no tick like any other.
 * @param {DOMStringMap} set
 * @param {string} words
 */
const withNote = (set, words) => [...JSON.parse(set.bodies ?? "[]"), { kind: "noted", words, at: {} }];

/** @type {Record<string, Ask>} */
export const ASKS = {
  close: { boxes: [["name", "Who hands over?"]], event: (data) => ({ kind: "closed", name: data.name }) },
  override: {
    boxes: [["reason", "Why is it accepted?"], ["name", "Who answers for it?"]],
    event: (data, set) => ({ kind: "overridden", line: set.line, reason: data.reason, name: data.name }),
  },
  figure: {
    boxes: [
      ["figure", "Which figure, with its unit? A torque, and an angle after it: 20 N·m, then 90°"],
      ["source", "Where is it from? Document and page"],
      ["name", "Who read it?"],
    ],
    event: (data, set) => {
      // A comma between figures is a decimal point; one with a blank after it parts two passes.
      const figure = (data.figure ?? "").trim().replace(/([0-9]),([0-9])/g, "$1.$2");
      return /^[0-9]+[./ 0-9]*\s*[A-Za-z]/.test(figure)
        ? { kind: "figure-given", fixing: set.fixing, figure, source: data.source, name: data.name }
        : null;
    },
  },
  "no-figure": {
    boxes: [["reason", "Why is it tightened without a figure?"], ["name", "Who answers for it?"]],
    event: (data, set) => ({ kind: "figure-waived", fixing: set.fixing, reason: data.reason, name: data.name }),
  },
  "go-on": {
    boxes: [["name", "Who goes on while this stands open? It stays in the report"]],
    event: (data, set) => ({ kind: "went-on", open: JSON.parse(set.open ?? "[]"), name: data.name }),
  },
  "without-tool": {
    boxes: [["how", "No tool of yours does this by the plan. With what was it done?"]],
    event: (data, set) => withNote(set, `Done without a tool of the plan: ${data.how}`),
  },
  unread: {
    boxes: [["reason", "Why is the value not read?"], ["name", "Who answers for it?"]],
    event: (data, set) => withNote(set, `Done without its reading: ${data.reason}, ${data.name}`),
  },
  "give-up": {
    boxes: [["searched", "Where and how was it searched?"], ["name", "Who takes responsibility for going on?"]],
    event: (data, set) => ({ kind: "given-up", happening: set.event, searched: data.searched, name: data.name }),
  },
  lend: {
    boxes: [["whom", "Lent to whom?"]],
    event: (data, set) => ({ kind: "piece", piece: set.piece, count: 1, to: { to: "lent", whom: data.whom } }),
  },
  "tell-owner": {
    boxes: [
      ["words", "What, and why it matters?"],
      ["from", "Price from"],
      ["to", "Price to"],
      ["left", "What happens if it is left?"],
    ],
    event: (data, set) => {
      const [from, to] = [cents(data.from), cents(data.to)];
      const found = { kind: "found", words: data.words, price_from_cents: from, price_to_cents: to, if_left: data.left, at: JSON.parse(set.at ?? "{}") };
      return [from, to].some(Number.isNaN) ? null : [found];
    },
  },
  "finding-done": {
    boxes: [["how", "How was it put right?"]],
    event: (data, set) => ({ kind: "finding-done", finding: set.event, how: data.how }),
  },
  answer: {
    boxes: [["by", "Who decided, and how?", "owner, by word"]],
    event: (data, set) => ({ kind: "answered", finding: set.event, word: set.word, by: data.by }),
  },
  count: {
    boxes: [["counted", "How many are there?"]],
    event: (data, set) => {
      const counted = number(data.counted);
      return counted !== null && Number.isInteger(counted) && counted >= 0
        ? { kind: "counted", what: set.what, expected: Number(set.expected), counted }
        : null;
    },
  },
};

/** @type {Record<string, (data: Answers, set: DOMStringMap, chosen: string) => object | object[] | null>} */
const FORMS = {
  told: (data, set) => ({ ...JSON.parse(set.body ?? "{}"), value: (data.value ?? "").trim() }),
  measures: (data, set) => {
    const limit = (/** @type {string | undefined} */ text) => (text === undefined ? null : Number(text));
    const gauge = number(data.gauge);
    /** @type {{ place: string, what: string }[]} */
    const places = JSON.parse(set.places ?? "[]");
    const read = places.map((place, at) => ({ ...place, value: number(data[`value${at}`]) })).filter((one) => one.value !== null);
    if (read.length === 0 || [gauge, ...read.map((one) => one.value)].some(Number.isNaN)) {
      return null;
    }
    const rest = { unit: set.unit ?? data.unit, low: limit(set.low), high: limit(set.high), method: set.method ?? "", gauge_error: gauge };
    const more = { measure: set.measure ?? null, is_once_more: data.once_more === "yes" };
    return read.map((one) => ({ kind: "read", reading: { ...one, ...rest, ...more }, at: { task: set.task } }));
  },
  pause: (data, set) => ({ ...JSON.parse(set.body ?? "{}"), words: data.words }),
  note: (data, set) => ({ ...JSON.parse(set.body ?? "{}"), words: data.words }),
  reading: (data, _set, chosen) => {
    const [value, low, high] = [number(data.value), number(data.low), number(data.high)];
    if (value === null || [value, low, high].some(Number.isNaN)) {
      return null;
    }
    const what = [chosen, data.what].filter(Boolean).join(", ");
    const reading = { what, value, unit: data.unit, low, high, method: data.method };
    return { kind: "read", reading, at: data.task ? { task: data.task } : {} };
  },
  risk: (data) => {
    const [chance, from, to] = [number(data.chance), cents(data.from), cents(data.to)];
    if (chance === null || from === null || [chance, from, to].some(Number.isNaN)) {
      return null;
    }
    return { kind: "risk-told", words: data.words, chance_percent: Math.round(chance), price_from_cents: from, price_to_cents: to ?? from };
  },
  finding: (data, set) => {
    const [from, to] = [cents(data.from), cents(data.to)];
    if ([from, to].some(Number.isNaN)) {
      return null;
    }
    const at = JSON.parse(set.at ?? "{}");
    return { kind: "found", words: data.words, price_from_cents: from, price_to_cents: to ?? from, if_left: data.left, task: data.task || null, at };
  },
};

/**
 * The event of a form that is filled in; `null` where a figure is not a number.
 * @param {HTMLFormElement} form
 */
export function eventOf(form) {
  const data = Object.fromEntries([...new FormData(form)].map(([key, value]) => [key, String(value)]));
  const chosen = form.querySelector("select")?.selectedOptions[0]?.text ?? "";
  return FORMS[form.dataset.form ?? ""]?.(data, form.dataset, chosen) ?? null;
}

/**
 * Asks the questions of a button; passes on the event, or `null` where an answer is not a number. Leaving it writes nothing.
 * @param {HTMLElement} button
 * @param {(event: object | object[] | null) => void} then
 */
export function ask(button, then) {
  const asked = ASKS[button.dataset.ask ?? ""];
  if (!asked) {
    return;
  }
  const dialog = document.createElement("dialog");
  const form = dialog.appendChild(document.createElement("form"));
  form.method = "dialog";
  for (const [name, question, first] of asked.boxes) {
    const label = form.appendChild(document.createElement("label"));
    label.textContent = question;
    label.appendChild(Object.assign(document.createElement("input"), { name, required: true, maxLength: 120, value: first ?? button.dataset[name] ?? "" }));
  }
  form.appendChild(document.createElement("button")).textContent = "Write it down";
  const no = dialog.appendChild(document.createElement("button"));
  no.textContent = "Leave it";
  no.type = "button";
  no.addEventListener("click", () => dialog.close());
  dialog.addEventListener("close", () => setTimeout(() => dialog.remove()));
  form.addEventListener("submit", () => {
    const data = Object.fromEntries([...new FormData(form)].map(([key, value]) => [key, String(value)]));
    then(asked.event(data, button.dataset));
  });
  document.body.appendChild(dialog).showModal();
}
