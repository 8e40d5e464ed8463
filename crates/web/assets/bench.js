// The small script of the bench pages: what a tap records is written on this device first, shown at once, and sent when it can.

import { ask, eventOf } from "./asks.js";
import { openDrawer } from "./drawer.js";
import { fit, show, turn } from "./drawing.js";
import { before, changes, effects, words } from "./marks.js";
import { errorOfAnswer, Outbox } from "./outbox.js";
import { find, hand, isTyping, page, refusalWords, showWaiting, tell } from "./page.js";
import { shrink } from "./pictures.js";
import { catchUp, goOn, keepAhead, refresh, showKept } from "./sheets.js";

/** How often waiting events are tried again, ms. */
const TRY_AGAIN_MS = 4_000;

/** Taps that may be undone, the latest last: what was recorded and the events that it made. */
/** @type {{ids: string[], bodies: any[]}[]} */
const taps = [];

/** The hole that was tapped last, for a happening. */
/** @type {{fixing: string, hole: string} | null} */
let chosen = null;

/**
 * @param {string} visit
 * @param {import("./outbox.js").Event[]} events
 */
async function post(visit, events) {
  const answer = await fetch(`/v/${visit}/events`, {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify(events),
  });
  if (!answer.ok) {
    const said = new DOMParser().parseFromString(await answer.text(), "text/html");
    throw errorOfAnswer(answer.status, said.querySelector("[role=alert]")?.textContent ?? "");
  }
  return answer.json();
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
 * Writes what a tap records; resolves when it is on this device's disk.
 * @param {any[]} bodies
 * @param {boolean} [mayUndo]
 * @param {{fixing: string, hole: string, state: string}[]} [shown] - the marks that it brings about
 */
async function say(bodies, mayUndo = true, shown = changes(bodies)) {
  const { outbox } = hand;
  if (!outbox || !page.visit) {
    return;
  }
  const ids = [];
  for (const body of bodies) {
    const event = await outbox.write(page.visit, Number(page.seen ?? 0), body);
    ids.push(event.id);
  }
  show(shown);
  if (mayUndo) {
    taps.push({ ids, bodies });
    sessionStorage.setItem(`taps-${page.visit}`, JSON.stringify(taps.slice(-20)));
  }
  await outbox.send();
}

async function undo() {
  const last = taps.pop();
  if (!last) {
    tell("This device has nothing left to undo.");
    return;
  }
  sessionStorage.setItem(`taps-${page.visit}`, JSON.stringify(taps));
  chosen = null;
  await say([...last.ids].reverse().map((event) => ({ kind: "undone", event })), false, before(last.bodies));
  await refresh();
}

/** One tap on a drawn hole: one state on in the order of the work. */
/** @param {SVGElement} group */
async function tapHole(group) {
  const { fixing, hole, state } = group.dataset;
  if (!fixing || !hole || !state) {
    return;
  }
  chosen = { fixing, hole };
  const tick = find("[data-says]", group.closest(".sheet") ?? document);
  const bodies = tick ? JSON.parse(tick.dataset.says ?? "[]") : [];
  const wanted = bodies.find((/** @type {any} */ body) =>
    body.kind === "marked" && body.fixing === fixing && body.holes.some((/** @type {any} */ was) => was.hole === hole));
  if (!wanted) {
    return;
  }
  const was = wanted.holes.find((/** @type {any} */ one) => one.hole === hole);
  if (state === wanted.to) {
    await say([{ kind: "marked", fixing, holes: [{ hole, from: state }], to: was.from }]);
    return;
  }
  const shown = (/** @type {string} */ ofFixing, /** @type {string} */ ofHole) =>
    find(`[data-fixing="${CSS.escape(ofFixing)}"][data-hole="${CSS.escape(ofHole)}"]`)?.dataset.state;
  await say([{ ...wanted, holes: [{ hole, from: state }] }, ...effects(bodies, { fixing, hole }, shown)]);
  const left = wanted.holes.filter((/** @type {any} */ one) =>
    find(`[data-fixing="${CSS.escape(fixing)}"][data-hole="${CSS.escape(one.hole)}"]`)?.dataset.state !== wanted.to);
  if (left.length === 0 && tick) {
    await goOn(tick);
  }
}

/** Reads the step aloud; shows it in large letters where the device cannot speak. */
function aloud() {
  const text = find(".sheet")?.dataset.spoken ?? "";
  if (!("speechSynthesis" in window) || speechSynthesis.getVoices().length === 0) {
    tell(text);
    return;
  }
  speechSynthesis.cancel();
  speechSynthesis.speak(new SpeechSynthesisUtterance(text));
}

/** @param {HTMLInputElement} input */
async function takePicture(input) {
  const file = input.files?.[0];
  if (!file || !page.visit) {
    return;
  }
  try {
    const answer = await fetch(`/v/${page.visit}/pictures`, { method: "POST", body: await shrink(file) });
    if (!answer.ok) {
      throw new Error(await answer.text());
    }
    const { picture, original } = await answer.json();
    await say([{ kind: "pictured", picture, original, at: JSON.parse(input.dataset.picture ?? "{}") }]);
    tell("The picture is kept with this step.");
  } catch {
    tell("The picture was not kept: the server cannot be reached or cannot read it. Take it again when the count to send is 0.");
  }
  input.value = "";
}

/**
 * Writes the event of answers and shows what came of it.
 * @param {object | null} event
 */
async function answered(event) {
  if (event === null) {
    tell("This is not a number; write it in figures, such as 0.25.");
    return;
  }
  await say([event]);
  await refresh();
}

/** @param {HTMLFormElement} form */
async function sendForm(form) {
  const event = eventOf(form);
  if (event !== null) {
    form.reset();
    /** @type {HTMLElement | null} */ (document.activeElement)?.blur();
  }
  await answered(event);
}

/** @param {HTMLElement} button */
async function happened(button) {
  const bodies = JSON.parse(button.dataset.happened ?? "[]");
  if (chosen) {
    Object.assign(bodies[0].at, chosen);
  }
  /** @type {HTMLDialogElement | null} */ (button.closest("dialog"))?.close();
  await say(bodies);
  chosen = null;
  await refresh();
}

/** @param {HTMLElement} button */
async function pressed(button) {
  const set = button.dataset;
  if (set.open !== undefined) {
    /** @type {HTMLDialogElement | null} */ (find(`#${set.open}`))?.showModal();
  } else if (set.close !== undefined) {
    const dialog = /** @type {HTMLDialogElement | null} */ (button.closest("dialog"));
    dialog?.close();
  } else if (set.turn !== undefined) {
    turn();
  } else if (set.undo !== undefined) {
    await undo();
  } else if (set.aloud !== undefined) {
    aloud();
  } else if (set.happened !== undefined) {
    await happened(button);
  } else if (set.ask !== undefined) {
    ask(button, answered);
  } else if (set.says !== undefined) {
    /** @type {HTMLButtonElement} */ (button).disabled = true;
    chosen = null;
    await say(JSON.parse(set.says));
    if (set.then) {
      location.assign(set.then);
    } else {
      await goOn(button);
    }
  }
}

let working = 0;

/**
 * Says on the page, for checks of it, that a tap is not through yet.
 * @param {Promise<void>} work
 */
function busily(work) {
  working += 1;
  document.documentElement.dataset.busy = "yes";
  work.finally(() => {
    working -= 1;
    if (working === 0) {
      delete document.documentElement.dataset.busy;
    }
  });
}

document.addEventListener("click", (event) => {
  const target = /** @type {Element} */ (event.target);
  const hole = /** @type {SVGElement | null} */ (target.closest("[data-hole]"));
  const button = /** @type {HTMLButtonElement | null} */ (target.closest("button"));
  const refused = /** @type {HTMLElement | null} */ (target.closest("#waiting[data-refused]"));
  if (refused) {
    tell(refused.dataset.refused ?? "");
  } else if (hole) {
    busily(tapHole(hole));
  } else if (button && button.type !== "submit") {
    busily(pressed(button));
  }
});

document.addEventListener("submit", (event) => {
  const form = /** @type {HTMLFormElement} */ (event.target);
  if (form.dataset.form) {
    event.preventDefault();
    busily(sendForm(form));
  }
});

document.addEventListener("change", (event) => {
  const input = /** @type {HTMLInputElement} */ (event.target);
  if (input.dataset.picture) {
    takePicture(input);
  }
});

// Links of the bench go to what is kept when the server cannot be reached.
document.addEventListener("click", async (event) => {
  const link = /** @type {HTMLAnchorElement | null} */ (/** @type {Element} */ (event.target).closest("a[rel]"));
  const sheetNow = find(".sheet");
  if (link && sheetNow && link.closest("#more") && Number(find("#waiting")?.dataset.count ?? 0) > 0) {
    event.preventDefault();
    /** @type {HTMLDialogElement | null} */ (link.closest("dialog"))?.close();
    await showKept(sheetNow, link.rel === "next" ? 1 : -1);
  }
});

// Keys for a keyboard or a pedal: Enter or Page Down ticks, arrows turn the sheet, H, U, P and A as the buttons say.
document.addEventListener("keydown", (event) => {
  if (isTyping() || document.querySelector("dialog[open]") || event.ctrlKey || event.metaKey || event.altKey) {
    return;
  }
  const press = (/** @type {string} */ selector) => {
    const target = find(selector);
    if (target) {
      event.preventDefault();
      target.click();
    }
  };
  const keys = /** @type {Record<string, string>} */ ({
    PageDown: ".sheet .main", Enter: ".sheet .main", ArrowRight: "a[rel=next]", ArrowLeft: "a[rel=prev]", PageUp: "[data-undo]",
    h: "[data-open=happened]", u: "[data-undo]", a: "[data-aloud]", p: "a[href$='/pause']", t: "[data-turn]",
  });
  const on = document.activeElement;
  const selector = keys[event.key];
  if (selector && !(event.key === "Enter" && (on instanceof HTMLButtonElement || on instanceof HTMLAnchorElement))) {
    press(selector);
  }
});

/** Keeps the screen lit while a step is open, where the browser allows it. */
async function stayAwake() {
  try {
    if (find(".sheet") && document.visibilityState === "visible") {
      await navigator.wakeLock?.request("screen");
    }
  } catch {
    // Plain http or a battery that is low: the device's own setting decides.
  }
}

function follow() {
  const source = new EventSource(`/v/${page.visit}/live`);
  let seen = 0;
  source.onopen = () => {
    hand.outbox?.send();
    if (seen++ > 0) {
      refresh();
    }
  };
  source.onmessage = () => refresh();
  window.addEventListener("pagehide", () => source.close());
}

/** Where the browser allows it, pages open without a connection: the first page and the one shown are kept at once. */
function keepPages() {
  const workers = navigator.serviceWorker;
  if (!workers) {
    return;
  }
  const keep = () => ["/", location.href].forEach((way) => fetch(way).catch(() => undefined));
  if (!workers.controller) {
    workers.addEventListener("controllerchange", keep, { once: true });
  }
  workers.register("/keeper.js").catch(() => undefined);
}

async function start() {
  keepPages();
  if (!page.device || !page.visit) {
    return;
  }
  const drawer = await openDrawer();
  const outbox = new Outbox(page.device, drawer, post, {
    now: () => Date.now(),
    random: () => crypto.getRandomValues(new Uint8Array(10)),
    changed: showWaiting,
    aside: (reason) => tell(`The server keeps one entry of this device aside: ${reason}. It is listed for someone to look at; nothing is lost.`),
    refused: tellRefused,
  }, page.person);
  Object.assign(hand, { drawer, outbox });
  taps.push(...JSON.parse(sessionStorage.getItem(`taps-${page.visit}`) ?? "[]"));
  navigator.storage?.persist?.().catch(() => undefined);
  await outbox.waiting();
  await outbox.send();
  await catchUp();
  window.addEventListener("online", () => outbox.send());
  setInterval(() => outbox.send(), TRY_AGAIN_MS);
  document.addEventListener("visibilitychange", stayAwake);
  stayAwake();
  follow();
  keepAhead();
  document.documentElement.dataset.ready = "yes";
}

// `words` names states for those who cannot see the marks.
for (const group of document.querySelectorAll("[data-state]")) {
  group.setAttribute("aria-label", `${/** @type {SVGElement} */ (group).dataset.hole}: ${words(/** @type {SVGElement} */ (group).dataset.state ?? "")}`);
}

find("nav.sheets [aria-current]")?.scrollIntoView({ block: "nearest", inline: "center" });
fit();

start();
