// What comes off next on an engine that no book tells of: one picture, a tap on each head, the size from a row, and it is off.
//
// The form is this device's own and works without a connection; what was told is the server's word with what still waits here on top.

import { pictureBox, shareOf, watchGlass } from "./glass.js";
import { openPart, pendingParts, slotAfter } from "./next_told.js";
import { newId } from "./outbox.js";
import { find, hand, page, tell } from "./page.js";
import { keepPicture, sendPictures, shrink } from "./pictures.js";
import { say } from "./record.js";
import { rest } from "./safe.js";

/** A second tap that comes sooner after the first, and nearer to it, is the same head, ms and px. */
const SAME_TAP_MS = 250;
const SAME_TAP_PX = 12;

/** Kinds of parts whose ends stand open once they are off. */
const ENDS = ["hose", "pipe", "union", "pump"];

/** What is being told: kept on the device, so that a page that is closed loses none of it. */
const BLANK = {
  title: "", partKind: "", heads: /** @type {import("./glass.js").Head[]} */ ([]), more: 0, drive: /** @type {string | null} */ (null), length: "", room: "", height: "", isLook: false,
};

const root = /** @type {HTMLElement} */ (find("#next"));
const DRAFT = `draft-${page.visit}`;

let draft = { ...BLANK, ...JSON.parse(localStorage.getItem(DRAFT) ?? "{}") };

/** The picture that the heads are tapped in. @type {{blob: Blob, url: string} | null} */
let photo = null;

/** Heads of the same part that were told before in this picture. @type {import("./glass.js").Head[]} */
let toldHeads = [];

let lastTap = { at_ms: 0, x: 0, y: 0 };

/** What is known: the server's word, then what waits on this device. */
let told = { view: JSON.parse(root.dataset.view ?? "{}"), parts: /** @type {import("./next_told.js").ToldPart[]} */ ([]) };

const count = () => draft.heads.length + draft.more;

function keepDraft() {
  localStorage.setItem(DRAFT, JSON.stringify(draft));
}

/** @param {string} name */
const part = (name) => /** @type {HTMLElement} */ (find(`[data-part=${name}]`, root));

/**
 * @param {string} text
 * @returns {string}
 */
function escaped(text) {
  const box = document.createElement("i");
  box.textContent = text;
  return box.innerHTML.replaceAll('"', "&quot;");
}

/** Entries of this page, by id: those that are sent count here until the server's word is newer. @type {Map<string, import("./outbox.js").Event>} */
const own = new Map();

/** Reads anew what is told. */
async function readTold() {
  const view = JSON.parse(root.dataset.view ?? "{}");
  const waiting = hand.drawer ? (await hand.drawer.all()).filter((event) => event.stream.id === page.visit) : [];
  waiting.forEach((event) => own.set(event.id, event));
  const isWaiting = new Set(waiting.map((event) => event.id));
  for (const [id, event] of own) {
    if (!isWaiting.has(id) && event.order.round <= Number(page.seen ?? 0)) {
      own.delete(id);
    }
  }
  told = { view, parts: pendingParts(view, [...own.values()]) };
  show();
}

/** The bag that is free next, by what is known here. */
const freeBag = () => slotAfter(told.view, told.parts);

function showHeads() {
  const board = part("heads");
  board.style.setProperty("--shape", photo ? "auto" : "4 / 3");
  board.closest(".board")?.classList.toggle("pictured", photo !== null);
  // Rings stay the same elements, so that one keeps the focus while it is moved by keys.
  const rings = /** @type {HTMLElement[]} */ ([...board.querySelectorAll(".head[data-at]")]);
  rings.slice(draft.heads.length).forEach((ring) => ring.remove());
  draft.heads.forEach((/** @type {import("./glass.js").Head} */ head, /** @type {number} */ at) => {
    const ring = rings[at] ?? ringOf(board);
    ring.dataset.at = String(at);
    ring.textContent = String(at + 1);
    ring.classList.toggle("quick", photo !== null && !head.is_fine);
    ring.setAttribute("aria-label", `head ${at + 1}${head.is_fine ? "" : ", set by a quick tap"}: arrow keys move it, Delete takes it away`);
    putRing(ring, head);
  });
  board.querySelectorAll(".head.told").forEach((ring) => ring.remove());
  toldHeads.forEach((head) => {
    const ring = board.appendChild(document.createElement("span"));
    ring.className = "head told";
    putRing(ring, head);
  });
  part("hint").hidden = draft.heads.length > 0 || photo !== null;
  part("fine").hidden = photo === null;
  part("count").textContent = String(count());
}

/** @param {HTMLElement} board */
function ringOf(board) {
  const ring = board.appendChild(document.createElement("span"));
  ring.className = "head";
  ring.setAttribute("role", "button");
  ring.tabIndex = 0;
  return ring;
}

/** @param {HTMLElement} ring @param {import("./glass.js").Head} head */
function putRing(ring, head) {
  ring.style.left = `${head.across / 10}%`;
  ring.style.top = `${head.down / 10}%`;
}

/**
 * @param {string} row
 * @param {string} value
 */
function showChosen(row, value) {
  part(row).querySelectorAll("button[data-word]").forEach((button) => {
    button.setAttribute("aria-pressed", String(/** @type {HTMLElement} */ (button).dataset.word === value));
  });
}

function showDrives() {
  const own = told.parts.flatMap((one) => one.fixings).map((one) => one.drive).filter((word) => word !== "");
  const usual = told.view.drives.map((/** @type {any} */ one) => one.word);
  const first = [...new Set([...own.reverse(), ...usual])];
  const label = new Map(told.view.drives.map((/** @type {any} */ one) => [one.word, one.label]));
  const isOpen = part("drives").dataset.all !== undefined;
  const shown = isOpen ? first.filter((word) => word !== "") : first.filter((word) => word !== "").slice(0, Number(root.dataset.drivesShown));
  // Across flats is what a size means where nothing else is said.
  const short = (/** @type {string} */ word) => String(label.get(word) ?? word).replace(/ hex$/, "");
  const button = (/** @type {string} */ word) => `<button type="button" data-word="${escaped(word)}">${escaped(short(word))}</button>`;
  part("drives").innerHTML = shown.map(button).join("") + button("") + (isOpen ? "" : '<button type="button" data-more="drives">more</button>');
  showChosen("drives", draft.drive ?? "none");
}

function showButtons() {
  const open = openPart(told.parts);
  const n = count();
  const title = escaped(draft.title || open?.title || `part ${told.view.next_part + told.parts.filter((one) => one.isPending).length}`);
  /** @type {HTMLInputElement} */ (part("title")).placeholder = title;
  const slot = draft.drive === "latch" || draft.drive === "hand" ? "on part" : freeBag();
  const to = slot === "on part" ? "stay on it" : `→ <span class="whole">${escaped(slot)}</span>`;
  const main = part("main");
  const other = part("other");
  if (draft.isLook) {
    main.innerHTML = n === 0 ? `Seen: ${title}` : `<span>${n} seen, that is all of ${title}</span>`;
    other.innerHTML = `${n} seen, more on it`;
  } else {
    const last = open ? `Nothing more holds it: ${title} is off` : `${title} lifts off, nothing held it`;
    main.innerHTML = n === 0 ? last : `<span>${n} off ${to}, that is all: ${title} is off</span>`;
    other.innerHTML = `<span>${n} off ${to}, more on it</span>`;
  }
  if (n === 0) {
    other.textContent = "More on it";
  }
  const isMissing = n > 0 && draft.drive === null;
  main.toggleAttribute("disabled", isMissing);
  other.toggleAttribute("disabled", n === 0 || isMissing);
  if (isMissing) {
    main.innerHTML = `${n} tapped: which size?`;
  }
  const caution = told.view.kinds.find((/** @type {any} */ kind) => kind.word === (draft.partKind || open?.partKind))?.caution ?? "";
  const [word, ...rest] = caution.split(": ");
  part("caution").hidden = caution === "";
  part("caution").className = `caution ${word === "CAUTION" ? "caution-word" : word.toLowerCase()}`;
  part("caution").innerHTML = caution === "" ? "" : `<strong>${escaped(word)}</strong>${escaped(rest.join(": "))}`;
}

/** @param {import("./next_told.js").ToldPart} one */
function rowOf(one) {
  const fixings = one.fixings.map((fixing) => `${fixing.count} × ${escaped(fixing.label)}${fixing.slot ? ` in ${escaped(fixing.slot)}` : ""}${fixing.measured ? `, ${escaped(fixing.measured)}` : ""}`);
  const words = fixings.length > 0 ? fixings.join("; ") : "no fasteners";
  const plugs = one.plugs > 0 ? ` ${one.plugs} plugs in.` : "";
  const ends = one.isOff && one.plugs === 0 && ENDS.includes(one.partKind) ? `<span class="why"><button type="button" data-plug="${escaped(one.key)}" data-tells="">Both ends closed: 2 plugs in</button></span>` : "";
  const left = one.isOff ? ends : `<span class="why"><button type="button" data-off="${escaped(one.key)}">It is off</button></span>`;
  const name = `<button type="button" class="name" data-name="${escaped(one.key)}">${escaped(one.title)}</button>`;
  return `<li data-key="${escaped(one.key)}"><span>${name}</span><span class="where">${one.isOff ? "off" : "on"}</span><span class="why">${words}.${plugs}</span>${left}</li>`;
}

function show() {
  showHeads();
  showDrives();
  showChosen("kinds", draft.partKind);
  showChosen("lengths", draft.length);
  showChosen("rooms", draft.room);
  showChosen("heights", draft.height);
  showChosen("modes", draft.isLook ? "look" : "off");
  part("rooms").hidden = !draft.isLook;
  part("lengths").hidden = draft.isLook;
  part("heights").hidden = photo === null;
  showButtons();
  const off = told.parts.filter((one) => one.isOff).length;
  const fasteners = told.parts.flatMap((one) => one.fixings).reduce((sum, one) => sum + one.off, 0);
  part("so-far").textContent = `${off} off, ${fasteners} fasteners put away`;
  part("list").innerHTML = [...told.parts].reverse().map(rowOf).join("");
  part("plan").hidden = told.parts.length === 0;
  part("plan-words").textContent = off > 0 ? "Plan the way back" : "Plan it";
}

/** @param {MouseEvent} event */
function tapHead(event) {
  const now_ms = performance.now();
  const isSame = now_ms - lastTap.at_ms < SAME_TAP_MS && Math.hypot(event.clientX - lastTap.x, event.clientY - lastTap.y) < SAME_TAP_PX;
  lastTap = { at_ms: now_ms, x: event.clientX, y: event.clientY };
  const box = pictureBox(part("heads"));
  if (!isSame && box.width > 0) {
    draft.heads.push({ across: shareOf(event.clientX, box.left, box.width), down: shareOf(event.clientY, box.top, box.height) });
  }
}

const newKey = () => `seen-${newId(Date.now(), crypto.getRandomValues(new Uint8Array(10))).toLowerCase()}`;

/**
 * What marks fasteners as off.
 * @param {string} fixing
 * @param {number} n
 * @param {string} slot
 * @param {number} [first] - label of the first
 */
const markedOff = (fixing, n, slot, first = 1) => ({
  kind: "marked", fixing, to: "off", slot,
  holes: Array.from({ length: n }, (_, at) => ({ hole: String(first + at), from: "in-place" })),
});

/**
 * Writes what was told.
 * @param {boolean} isWhole - that is all that holds the part
 */
async function commit(isWhole) {
  const open = openPart(told.parts);
  const n = count();
  const bodies = [];
  const key = open?.key ?? newKey();
  const title = draft.title.trim() || open?.title || `part ${told.view.next_part + told.parts.filter((one) => one.isPending).length}`;
  if (!open) {
    bodies.push({ kind: "part-seen", part: key, title, ...(draft.partKind ? { part_kind: draft.partKind } : {}) });
  }
  let fixing = "";
  if (n > 0) {
    fixing = newKey();
    // Labels are each once on a part.
    const first = 1 + (open?.fixings ?? []).reduce((sum, one) => Math.max(sum, one.first + one.count - 1), 0);
    const words = { ...(first > 1 ? { first } : {}), ...(draft.drive ? { drive: draft.drive } : {}), count: n, ...(draft.heads.length > 0 ? { heads: draft.heads } : {}), ...(draft.length ? { length: draft.length } : {}) };
    bodies.push({ kind: "fixing-seen", fixing, part: key, ...words });
    if (draft.room) {
      bodies.push({ kind: "told", of: { is: "fixing", key: fixing }, what: "room", value: draft.room });
    }
    if (draft.height) {
      bodies.push({ kind: "told", of: { is: "fixing", key: fixing }, what: "head-height", value: draft.height });
    }
    if (!draft.isLook) {
      const stays = draft.drive === "latch" || draft.drive === "hand";
      bodies.push(markedOff(fixing, n, stays ? "on part" : freeBag(), first));
    }
  }
  if (isWhole && !draft.isLook) {
    bodies.push({ kind: "part-off", part: key });
  }
  const label = isWhole ? `${title} ${draft.isLook ? "seen" : "off"}` : `${n} of ${title}`;
  if (!(await say(bodies, { label, shown: [] }))) {
    return;
  }
  localStorage.setItem(`open-${page.visit}`, isWhole ? "" : key);
  if (photo && fixing !== "") {
    await keepPicture({ visit: page.visit ?? "", blob: photo.blob, at: { part: key, fixing } });
    sendPictures();
  }
  forgetDraft(isWhole);
  rest();
  await readTold();
}

/** @param {boolean} isWhole */
function forgetDraft(isWhole) {
  const { isLook, drive } = draft;
  // What else holds the part lies in the same picture.
  toldHeads = isWhole || !photo ? [] : [...toldHeads, ...draft.heads];
  draft = { ...BLANK, heads: [], isLook, ...(isWhole ? {} : { title: draft.title, partKind: draft.partKind }) };
  draft.drive = drive;
  if (photo && isWhole) {
    URL.revokeObjectURL(photo.url);
    photo = null;
    part("photo").removeAttribute("src");
    part("photo").hidden = true;
  }
  delete part("drives").dataset.all;
  delete part("kinds").dataset.all;
  /** @type {HTMLInputElement} */ (part("title")).value = draft.title;
  keepDraft();
}

/**
 * A part that was seen before comes off, with all that holds it.
 * @param {string} key
 */
async function takeOff(key) {
  const one = told.parts.find((each) => each.key === key);
  if (!one) {
    return;
  }
  let number = Number(/B(\d+)$/.exec(freeBag())?.[1] ?? 1);
  const bodies = one.fixings.filter((fixing) => fixing.off < fixing.count).map((fixing) =>
    markedOff(fixing.key, fixing.count, `${told.view.letter}-B${String(number++).padStart(2, "0")}`, fixing.first));
  if (await say([...bodies, { kind: "part-off", part: key }], { label: `${one.title} off`, shown: [] })) {
    rest();
    await readTold();
  }
}

/** @param {string} key */
async function rename(key) {
  const one = told.parts.find((each) => each.key === key);
  const value = window.prompt("What is it called?", one?.title ?? "")?.trim();
  if (value && value !== one?.title && await say([{ kind: "told", of: { is: "part", key }, what: "title", value }], { label: "a name", shown: [] })) {
    await readTold();
  }
}

/** @param {HTMLButtonElement} button */
async function pressed(button) {
  const set = button.dataset;
  const row = /** @type {HTMLElement | null} */ (button.closest("[data-part]"))?.dataset.part ?? "";
  if (set.part === "main") {
    await commit(true);
  } else if (set.part === "other") {
    await commit(false);
  } else if (set.off !== undefined) {
    await takeOff(set.off);
  } else if (set.plug !== undefined) {
    const at = { part: set.plug };
    await say([{ kind: "put-in", what: "plug", words: "in the open ends", count: 2, at }], { label: "2 plugs", shown: [] });
  } else if (set.name !== undefined) {
    await rename(set.name);
  } else if (set.more !== undefined) {
    part(set.more).dataset.all = "";
  } else if (set.add !== undefined) {
    draft.more = Math.max(0, draft.more + 1);
  } else if (set.less !== undefined) {
    draft.more > 0 ? draft.more -= 1 : draft.heads.pop();
  } else if (row === "drives") {
    draft.drive = set.word ?? "";
  } else if (row === "kinds") {
    draft.partKind = draft.partKind === set.word ? "" : set.word ?? "";
    if (draft.title === "" && draft.partKind !== "" && draft.partKind !== "other") {
      // The first of its kind needs no number.
      const alike = told.parts.filter((one) => one.partKind === draft.partKind).length;
      draft.title = alike === 0 ? draft.partKind : `${draft.partKind} ${alike + 1}`;
    }
    /** @type {HTMLInputElement} */ (part("title")).value = draft.title;
  } else if (row === "lengths") {
    draft.length = draft.length === set.word ? "" : set.word ?? "";
  } else if (row === "rooms") {
    draft.room = draft.room === set.word ? "" : set.word ?? "";
  } else if (row === "heights") {
    draft.height = draft.height === set.word ? "" : set.word ?? "";
  } else if (row === "modes") {
    draft.isLook = set.word === "look";
  }
  keepDraft();
  show();
}

root.addEventListener("click", (event) => {
  const target = /** @type {Element} */ (event.target);
  const button = /** @type {HTMLButtonElement | null} */ (target.closest("button"));
  if (target.closest("[data-part=heads]")) {
    tapHead(event);
    keepDraft();
    show();
  } else if (button && button.type !== "submit" && !event.defaultPrevented) {
    document.documentElement.dataset.telling = "yes";
    pressed(button).finally(() => delete document.documentElement.dataset.telling);
  }
});

root.addEventListener("input", (event) => {
  if (event.target === part("title")) {
    draft.title = /** @type {HTMLInputElement} */ (event.target).value;
    keepDraft();
    showButtons();
  }
});

root.addEventListener("change", async (event) => {
  const input = /** @type {HTMLInputElement} */ (event.target);
  const file = input.type === "file" ? input.files?.[0] : undefined;
  if (!file) {
    return;
  }
  try {
    const blob = await shrink(file);
    photo = { blob, url: URL.createObjectURL(blob) };
    const image = /** @type {HTMLImageElement} */ (part("photo"));
    image.src = photo.url;
    image.hidden = false;
    [draft.heads, toldHeads] = [[], []];
    await image.decode();
    part("heads").style.setProperty("--ratio", String(image.naturalWidth / image.naturalHeight));
    show();
  } catch {
    tell("This picture cannot be read. Take it again, or tap the heads on the blank field.");
  }
  input.value = "";
});

watchGlass({
  field: part("heads"),
  image: () => photo ? /** @type {HTMLImageElement} */ (part("photo")) : null,
  heads: () => draft.heads,
  set: (at, head) => {
    head === null ? draft.heads.splice(at ?? draft.heads.length, 1) : draft.heads.splice(at ?? draft.heads.length, 1, head);
    keepDraft();
    show();
  },
});

document.addEventListener("said", (event) => {
  /** @type {CustomEvent<import("./outbox.js").Event[]>} */ (event).detail.forEach((one) => own.set(one.id, one));
  readTold();
});
root.addEventListener("fresh", readTold);
document.addEventListener("alive", readTold);
/** @type {HTMLInputElement} */ (part("title")).value = draft.title;
show();
if (document.documentElement.dataset.ready) {
  readTold();
}
