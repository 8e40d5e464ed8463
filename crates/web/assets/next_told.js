// What was told of an engine: the server's word, with the entries on top that still wait on this device.

import { page } from "./page.js";

/**
 * Fasteners of one kind; `label` is what a person calls the drive, `measured` what a card in their picture came to.
 * @typedef {{key: string, drive: string, label: string, count: number, first: number, off: number, slot: string, measured: string}} ToldFixing
 */

/**
 * @typedef {{key: string, title: string, partKind: string, isOff: boolean, isPending: boolean, plugs: number, fixings: ToldFixing[]}} ToldPart
 */

/**
 * All parts, the first that was seen first.
 * @param {any} view - the server's word
 * @param {import("./outbox.js").Event[]} waiting - entries of this visit that wait here
 * @returns {ToldPart[]}
 */
export function pendingParts(view, waiting) {
  /** @type {Map<string, ToldPart>} */
  const parts = new Map();
  for (const one of [...(view.parts ?? [])].reverse()) {
    const fixings = one.fixings.map((/** @type {any} */ each) => ({ key: each.key, drive: "", label: each.drive, count: each.count, first: each.first, off: each.off, slot: each.slot, measured: each.measured }));
    parts.set(one.key, { key: one.key, title: one.title, partKind: one.part_kind, isOff: one.is_off, isPending: false, plugs: one.plugs, fixings });
  }
  const undone = new Set(waiting.map((event) => /** @type {any} */ (event.body)).filter((body) => body.kind === "undone").map((body) => body.event));
  const labels = new Map((view.drives ?? []).map((/** @type {any} */ one) => [one.word, one.label]));
  for (const { body } of waiting.filter((event) => !undone.has(event.id))) {
    take(parts, /** @type {any} */ (body), labels);
  }
  return [...parts.values()];
}

/**
 * @param {Map<string, ToldPart>} parts
 * @param {any} body
 * @param {Map<string, string>} labels
 */
function take(parts, body, labels) {
  const fixing = [...parts.values()].flatMap((one) => one.fixings).find((one) => one.key === body.fixing);
  if (body.kind === "part-seen" && !parts.has(body.part)) {
    parts.set(body.part, { key: body.part, title: body.title, partKind: body.part_kind ?? "", isOff: false, isPending: true, plugs: 0, fixings: [] });
  } else if (body.kind === "fixing-seen" && !fixing) {
    const label = labels.get(body.drive ?? "") ?? "not seen yet";
    parts.get(body.part)?.fixings.push({ key: body.fixing, drive: body.drive ?? "", label, count: body.count, first: body.first ?? 1, off: 0, slot: "", measured: "" });
  } else if (body.kind === "marked" && fixing && body.to === "off") {
    [fixing.off, fixing.slot] = [fixing.count, body.slot ?? ""];
  } else if (body.kind === "part-off" || body.kind === "part-on") {
    const one = parts.get(body.part);
    if (one) {
      one.isOff = body.kind === "part-off";
    }
  } else if (body.kind === "put-in" && parts.has(body.at.part ?? "")) {
    /** @type {ToldPart} */ (parts.get(body.at.part)).plugs += body.count;
  } else if (body.kind === "told" && body.what === "title" && body.of.is === "part") {
    const one = parts.get(body.of.key);
    if (one) {
      one.title = body.value;
    }
  }
}

/**
 * The part that this device is at: told, and not whole yet.
 * @param {ToldPart[]} parts
 * @returns {ToldPart | undefined}
 */
export function openPart(parts) {
  const key = localStorage.getItem(`open-${page.visit}`);
  return parts.find((one) => one.key === key && !one.isOff);
}

/**
 * The first bag after all that are in use.
 * @param {any} view
 * @param {ToldPart[]} parts
 * @returns {string}
 */
export function slotAfter(view, parts) {
  const numbers = parts.flatMap((one) => one.fixings).map((one) => Number(/-B(\d+)$/.exec(one.slot)?.[1] ?? 0));
  const number = Math.max(view.next_bag - 1, 0, ...numbers) + 1;
  return `${view.letter}-B${String(number).padStart(2, "0")}`;
}
