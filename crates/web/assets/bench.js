// The small script of the bench pages: what a tap records is written on this device first, shown at once, and sent when it can.

import { ask, eventOf } from "./asks.js";
import { keepClocks } from "./clocks.js";
import { watchComing } from "./coming.js";
import { fit, turn } from "./drawing.js";
import { countPasses, hasJustNamed, markNext, nameHole, namedHole, tapBodies } from "./holes.js";
import { words } from "./marks.js";
import { find, hand, isTyping, page, tell } from "./page.js";
import { sendPictures, shrink } from "./pictures.js";
import { eventOfHole, openHand, say, SEND_PATIENCE_MS, takeBack, TAP_PATIENCE_MS, touch } from "./record.js";
import { isMeant, rest } from "./safe.js";
import { announce } from "./said.js";
import { catchUp, fetchSoon, goOn, keepAhead, refresh, sheetNowHtml, showKept } from "./sheets.js";
import { openWaits, takeCarried } from "./waits.js";

/** How often waiting events are tried again, ms. */
const TRY_AGAIN_MS = 4_000;

/** One tap on a drawn hole: one mark further, or back where it has its mark. */
/** @param {SVGElement} group */
async function tapHole(group) {
  const tick = find(".main[data-says]", group.closest(".sheet") ?? document);
  const [html, says, done, label] = [sheetNowHtml(), tick?.dataset.says, tick?.dataset.done, tick?.textContent];
  const tapped = await tapBodies(group, eventOfHole);
  if (!tapped || !tick) {
    return;
  }
  const { fixing = "", hole = "" } = group.dataset;
  const shown = [{ fixing, hole, state: tapped.to }];
  if (!(await say(tapped.bodies, { mayTakeBack: !tapped.takesBack, shown, label: `hole ${hole}`, html }))) {
    [tick.dataset.says, tick.dataset.done, tick.textContent] = [says, done, label ?? ""];
    return;
  }
  announce(`Hole ${hole}: ${words(tapped.to)}.`);
  countPasses(tapped.bodies);
  markNext();
  if (tapped.isLast) {
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

/**
 * Turns the sheets of this device over for night, or back.
 * @param {boolean} isNight
 */
function night(isNight) {
  document.documentElement.toggleAttribute("data-night", isNight);
  localStorage.setItem("night", isNight ? "yes" : "");
}

/** @param {HTMLInputElement} input */
async function takePicture(input) {
  const file = input.files?.[0];
  if (!file || !page.visit) {
    return;
  }
  try {
    const { answer, text } = await fetchSoon(`/v/${page.visit}/pictures`, { method: "POST", body: await shrink(file) }, SEND_PATIENCE_MS);
    if (!answer.ok) {
      throw new Error(text);
    }
    const { picture, original } = JSON.parse(text);
    await say([{ kind: "pictured", picture, original, at: JSON.parse(input.dataset.picture ?? "{}") }], { label: "a picture" });
    tell("The picture is kept with this step.");
  } catch {
    tell("The picture was not kept: the server cannot be reached or cannot read it. Take it again when the count to send is 0.");
  }
  input.value = "";
}

/**
 * Writes the event of answers and shows what came of it.
 * @param {object | object[] | null} event
 */
async function answered(event) {
  if (event === null) {
    tell("This is not a number; write it in figures, such as 0.25.");
    return;
  }
  const main = find(".sheet .main");
  if (!(await say([event].flat(), { label: "what was written last", html: main ? sheetNowHtml() : "" }))) {
    return;
  }
  if (Array.isArray(event) && main) {
    await goOn(main);
  } else {
    await refresh();
  }
}

/** @param {HTMLFormElement} form */
async function sendForm(form) {
  const event = eventOf(form);
  if (event === null) {
    await answered(event);
  } else if (await say([event].flat(), { label: "what was written last" })) {
    const readings = [event].flat().map((/** @type {any} */ one) => one.reading).filter(Boolean);
    const outside = readings.filter(({ value, low, high }) => (low !== null && value < low) || (high !== null && value > high));
    if (outside.length > 0) {
      tell(outside.map(({ what, value, unit, low }) => `${what}: ${value} ${unit} is ${low !== null && value < low ? "below the least" : "above the greatest"} that is right.`).join(" "));
    }
    form.reset();
    /** @type {HTMLElement | null} */ (document.activeElement)?.blur();
    await refresh();
  }
}

/** @param {HTMLElement} button */
async function happened(button) {
  const bodies = JSON.parse(button.dataset.happened ?? "[]");
  Object.assign(bodies[0].at, namedHole() ?? {});
  const what = button.textContent ?? "";
  /** @type {HTMLDialogElement | null} */ (button.closest("dialog"))?.close();
  nameHole(null);
  if (await say(bodies, { label: what })) {
    tell(`Recorded: ${what}. The rest is planned anew; what changes is said here.`);
    await refresh();
  }
}

/** @param {HTMLElement} button */
async function ticked(button) {
  const [label, html] = [button.textContent ?? "", button.closest(".sheet") ? sheetNowHtml() : ""];
  const wasInHand = document.activeElement === button;
  /** @type {HTMLButtonElement} */ (button).disabled = true;
  nameHole(null);
  if (!(await say(JSON.parse(button.dataset.says ?? "[]"), { label, html }))) {
    /** @type {HTMLButtonElement} */ (button).disabled = false;
  } else if (button.dataset.then) {
    location.assign(button.dataset.then);
  } else {
    // What comes next says whether it can be pressed; where nothing comes, what was pressed stays so.
    await goOn(button);
    // Whoever works by keys stays on the large button.
    if (wasInHand && (document.activeElement === document.body || document.activeElement === button)) {
      find(".sheet .main")?.focus();
    }
  }
}

/** @param {HTMLElement} button */
async function pressed(button) {
  const set = button.dataset;
  if (set.ask !== undefined) {
    ask(button, answered);
  } else if (set.open !== undefined) {
    /** @type {HTMLDialogElement | null} */ (find(`#${set.open}`))?.showModal();
    nameHole(namedHole());
    rest();
  } else if (set.close !== undefined) {
    const dialog = /** @type {HTMLDialogElement | null} */ (button.closest("dialog"));
    dialog?.close();
    nameHole(null);
  } else if (set.names !== undefined) {
    nameHole(button.getAttribute("aria-pressed") === "true" ? null : JSON.parse(set.names));
  } else if (set.turn !== undefined) {
    turn();
  } else if (set.drawing !== undefined) {
    const isOver = find(".sheet")?.classList.toggle("drawn-over") ?? false;
    button.textContent = isOver ? "Words" : "Drawing";
    fit();
  } else if (set.night !== undefined) {
    night(!("night" in document.documentElement.dataset));
    button.closest("dialog")?.close();
  } else if (set.undo !== undefined) {
    await takeBack();
  } else if (set.aloud !== undefined) {
    aloud();
  } else if (set.happened !== undefined) {
    await happened(button);
  } else if (set.says !== undefined) {
    await ticked(button);
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
  if (target.closest("#told > p")) {
    target.closest("#told > p")?.remove();
  } else if (target.closest("#waiting[data-why]")) {
    openWaits();
  } else if (!isMeant(event)) {
    event.preventDefault();
  } else if (hole && !hasJustNamed()) {
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
  // A key that is held down is one press.
  if (event.repeat || isTyping() || document.querySelector("dialog[open]") || event.ctrlKey || event.metaKey || event.altKey) {
    return;
  }
  const press = (/** @type {string} */ selector) => {
    const target = find(selector);
    if (target) {
      event.preventDefault();
      target.click();
    }
  };
  const hole = document.activeElement?.closest("[data-hole]");
  if (event.key === "Enter" && hole) {
    event.preventDefault();
    hole.dispatchEvent(new MouseEvent("click", { bubbles: true }));
    return;
  }
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

/**
 * The stream of changes of this visit; only the page that is seen has one, so that a device with many tabs has one.
 * @type {EventSource | null}
 */
let stream = null;

function follow() {
  const isSeen = document.visibilityState === "visible";
  if (!isSeen || !page.visit) {
    stream?.close();
    stream = null;
    return;
  }
  if (stream === null) {
    stream = new EventSource(`/v/${page.visit}/live`);
    let opened = 0;
    stream.onopen = () => {
      if (opened++ > 0) {
        touch();
        refresh();
      }
    };
    stream.onmessage = () => refresh();
  }
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

/** The page can record now. */
function alive() {
  document.documentElement.dataset.ready = "yes";
  document.dispatchEvent(new Event("alive"));
  keepClocks();
  watchComing();
}

async function start() {
  rest();
  if (!location.pathname.startsWith("/enter")) {
    keepPages();
  }
  const outbox = await openHand();
  if (!outbox) {
    return;
  }
  const carried = await takeCarried();
  await outbox.waiting();
  if (!page.device) {
    alive();
    return;
  }
  navigator.storage?.persist?.().catch(() => undefined);
  await Promise.race([touch(), new Promise((resolve) => setTimeout(resolve, TAP_PATIENCE_MS))]);
  if (carried > 0) {
    tell(`${carried === 1 ? "1 entry was" : `${carried} entries were`} carried over from the old address.`);
  }
  if (page.visit) {
    await catchUp();
  }
  window.addEventListener("online", async () => {
    // A stream that gave up while there was no connection is opened anew.
    if (stream?.readyState === EventSource.CLOSED) {
      stream = null;
      follow();
    }
    await touch();
    await refresh();
  });
  setInterval(() => outbox.send().then(sendPictures), TRY_AGAIN_MS);
  document.addEventListener("visibilitychange", () => {
    stayAwake();
    follow();
    if (stream !== null) {
      refresh();
    }
  });
  window.addEventListener("pagehide", () => stream?.close());
  stayAwake();
  follow();
  keepAhead();
  alive();
}

if (localStorage.getItem("night")) {
  night(true);
}
find("main > nav.sheets [aria-current]")?.scrollIntoView({ block: "nearest", inline: "center" });
// What is drawn is drawn for a room: a page of another size, or a device that is turned, asks for it anew.
document.addEventListener("room", () => refresh().then(keepAhead));
window.addEventListener("resize", fit);
fit();
markNext();

start();
