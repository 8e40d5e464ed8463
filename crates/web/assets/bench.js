// The little script of the bench pages: what a tap says is written on this device first, shown at once, and sent when it can.

import { ask, eventOf } from "./asks.js";
import { openDrawer } from "./drawer.js";
import { before, changes, draw, words } from "./marks.js";
import { Outbox } from "./outbox.js";

/** How often waiting events are tried again, ms. */
const TRY_AGAIN_MS = 4_000;

/** Longest side of a picture before it is sent, pixels. */
const PICTURE_SIDE = 1_600;

const page = document.body.dataset;

/** Taps that may be taken back, the latest last: what was said and the events that it made. */
/** @type {{ids: string[], bodies: any[]}[]} */
const taps = [];

/** The hole that was tapped last, for a happening. */
/** @type {{fixing: string, hole: string} | null} */
let chosen = null;

/** @type {Outbox | null} */
let outbox = null;
/** @type {Awaited<ReturnType<typeof openDrawer>> | null} */
let drawer = null;

/**
 * @param {string} selector
 * @param {ParentNode} [within]
 * @returns {HTMLElement | null}
 */
const find = (selector, within = document) => /** @type {HTMLElement | null} */ (within.querySelector(selector));

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
    throw new Error(String(answer.status));
  }
  return answer.json();
}

/** @param {number} waiting */
function showWaiting(waiting) {
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
function tell(text) {
  const box = find("#told") ?? document.body.appendChild(Object.assign(document.createElement("dialog"), { id: "told" }));
  const dialog = /** @type {HTMLDialogElement} */ (box);
  dialog.textContent = text;
  const close = dialog.appendChild(document.createElement("button"));
  close.textContent = "Read";
  close.dataset.close = "";
  dialog.showModal();
}

/** Shows the states that a tap brought about, on every mark of these holes in the page. */
/** @param {{fixing: string, hole: string, state: string}[]} all */
function show(all) {
  for (const { fixing, hole, state } of all) {
    for (const group of document.querySelectorAll(`[data-fixing="${CSS.escape(fixing)}"][data-hole="${CSS.escape(hole)}"]`)) {
      /** @type {SVGElement} */ (group).dataset.state = state;
      const mark = group.querySelector(".mark");
      if (mark) {
        draw(mark, state);
      }
    }
  }
}

/**
 * Writes what a tap says; resolves when it is on this device's disk.
 * @param {any[]} bodies
 * @param {boolean} [mayUndo]
 * @param {{fixing: string, hole: string, state: string}[]} [shown] - the marks that it brings about
 */
async function say(bodies, mayUndo = true, shown = changes(bodies)) {
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
    tell("Nothing of this device is left to take back.");
    return;
  }
  sessionStorage.setItem(`taps-${page.visit}`, JSON.stringify(taps));
  chosen = null;
  await say([...last.ids].reverse().map((event) => ({ kind: "undone", event })), false, before(last.bodies));
  await refresh();
}

/** Whether the server has everything of this device. */
async function isSent() {
  return drawer !== null && (await drawer.all()).length === 0;
}

/** Fetches this page anew and puts it in the place of what is shown; stays as it is without a connection. */
async function refresh() {
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
function replace(html) {
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
  outbox?.drawer.all().then((all) => showWaiting(all.length));
}

/** The step whose drawing was changed over between stack and holes; a fresh page of the same step keeps it so. */
function turned() {
  return find(".picture[data-turned]")?.closest("article")?.dataset.step ?? null;
}

/** Changes the drawing over between stack and holes. */
function turn() {
  const box = find(".sheet .picture");
  box?.querySelectorAll(".drawn").forEach((drawn) => drawn.classList.toggle("gone"));
  box?.toggleAttribute("data-turned");
  fit();
}

/** Free room that a drawing keeps round itself, in its own units. */
const RIM = 16;

/** Lets the drawing that is shown fill its place: what is drawn may be smaller than its sheet, and holes are for thumbs. */
function fit() {
  for (const svg of /** @type {NodeListOf<SVGSVGElement>} */ (document.querySelectorAll(".picture > .drawn:not(.gone) > svg"))) {
    const sheet = Number((svg.dataset.sheet ??= String(svg.viewBox.baseVal.width)));
    const ground = svg.querySelector(":scope > rect");
    if (Number(ground?.getAttribute("width")) >= sheet) {
      ground?.remove();
    }
    const drawn = svg.getBBox();
    if (drawn.width > 0 && drawn.height > 0) {
      // Never enlarged more than 2.5 times: two holes alone would fill the page.
      const width = Math.max(drawn.width + 2 * RIM, sheet / 2.5);
      const height = drawn.height + 2 * RIM;
      svg.setAttribute("viewBox", `${drawn.x + (drawn.width - width) / 2} ${drawn.y - RIM} ${width} ${height}`);
    }
  }
}

function isTyping() {
  const active = document.activeElement;
  return active instanceof HTMLInputElement || active instanceof HTMLTextAreaElement;
}

/** Keeps the sheets to come on this device, for the time without a connection. */
async function keepAhead() {
  const sheetNow = find(".sheet");
  if (!drawer || !page.visit || !sheetNow) {
    return;
  }
  try {
    const answer = await fetch(`/v/${page.visit}/bench/sheets?step=${sheetNow.dataset.step}`);
    if (answer.ok) {
      await drawer.keepSheet(`${page.visit}/ahead`, await answer.text());
    }
  } catch {
    // No connection: the sheets kept before stay.
  }
}

/** The sheets kept on this device that come after the one shown. */
async function kept() {
  const html = drawer && page.visit ? await drawer.sheet(`${page.visit}/ahead`) : null;
  const box = document.createElement("template");
  box.innerHTML = html ?? "";
  return [...box.content.children];
}

/** After a tick: the next sheet, from the server or from what is kept. */
/** @param {HTMLElement} from */
async function goOn(from) {
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

/** Shows the kept sheet that is so many after this one. */
/**
 * @param {Element} sheetNow
 * @param {number} by
 */
async function showKept(sheetNow, by) {
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
  const waiting = drawer ? await drawer.all() : [];
  sheetNow.replaceWith(find(".sheet", next) ?? "");
  showWaiting(waiting.length);
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
async function catchUp() {
  const waiting = drawer ? await drawer.all() : [];
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
  await say([{ ...wanted, holes: [{ hole, from: state }] }]);
  const left = wanted.holes.filter((/** @type {any} */ one) =>
    find(`[data-fixing="${CSS.escape(fixing)}"][data-hole="${CSS.escape(one.hole)}"]`)?.dataset.state !== wanted.to);
  if (left.length === 0 && tick) {
    await goOn(tick);
  }
}

/** Reads the step aloud; says it in large letters where the device cannot speak. */
function aloud() {
  const text = find(".sheet")?.dataset.spoken ?? "";
  if (!("speechSynthesis" in window) || speechSynthesis.getVoices().length === 0) {
    tell(text);
    return;
  }
  speechSynthesis.cancel();
  speechSynthesis.speak(new SpeechSynthesisUtterance(text));
}

/** Shrinks a picture in the page, so that it goes over a weak network. */
/**
 * @param {File} file
 * @returns {Promise<Blob>}
 */
async function shrink(file) {
  const bitmap = await createImageBitmap(file, { imageOrientation: "from-image" });
  const scale = Math.min(1, PICTURE_SIDE / Math.max(bitmap.width, bitmap.height));
  const canvas = document.createElement("canvas");
  canvas.width = Math.round(bitmap.width * scale);
  canvas.height = Math.round(bitmap.height * scale);
  canvas.getContext("2d")?.drawImage(bitmap, 0, 0, canvas.width, canvas.height);
  return new Promise((resolve, reject) =>
    canvas.toBlob((blob) => (blob ? resolve(blob) : reject(new Error("no picture"))), "image/jpeg", 0.85));
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
    tell("This is no number; write it with figures, as 0.25.");
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
  if (hole) {
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
    outbox?.send();
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
  drawer = await openDrawer();
  outbox = new Outbox(page.device, drawer, post, {
    now: () => Date.now(),
    random: () => crypto.getRandomValues(new Uint8Array(10)),
    changed: showWaiting,
    aside: (reason) => tell(`The server keeps one entry of this device aside: ${reason}. It is listed for a person to look at; nothing is lost.`),
  });
  taps.push(...JSON.parse(sessionStorage.getItem(`taps-${page.visit}`) ?? "[]"));
  navigator.storage?.persist?.().catch(() => undefined);
  showWaiting((await drawer.all()).length);
  await outbox.send();
  await catchUp();
  window.addEventListener("online", () => outbox?.send());
  setInterval(() => outbox?.send(), TRY_AGAIN_MS);
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
