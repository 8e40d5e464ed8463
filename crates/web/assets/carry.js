// Entries that wait, carried to another address of the server: in the part of an address that is not sent to anybody.

/** @typedef {import("./outbox.js").Event} Event */

/** Entries that are carried to another address in one go, bytes: browsers take addresses of about two million. */
const MAX_CARRIED_BYTES = 900_000;

/** Where in an address the carried entries stand. */
const CARRIED = "#carried=";

/**
 * An address as a person writes it: with or without "http://", with or without a page.
 * @param {string} text
 * @param {string} protocol - where it names none: "http:"
 * @returns {string | null} its first part, null where it is none
 */
export function originOf(text, protocol) {
  const bare = text.trim();
  const whole = /^https?:\/\//i.test(bare) ? bare : `${protocol}//${bare}`;
  try {
    return bare === "" || /\s/.test(bare) ? null : new URL(whole).origin;
  } catch {
    return null;
  }
}

/**
 * The address that carries entries to another address of the server, and how many it carries.
 * @param {string} origin
 * @param {Event[]} events
 * @returns {{address: string, count: number}}
 */
export function carryAddress(origin, events) {
  let count = events.length;
  for (;;) {
    const text = JSON.stringify(events.slice(0, count));
    const bytes = new TextEncoder().encode(text);
    if (bytes.length <= MAX_CARRIED_BYTES || count === 1) {
      let binary = "";
      bytes.forEach((byte) => { binary += String.fromCharCode(byte); });
      return { address: `${origin}/${CARRIED}${btoa(binary).replaceAll("+", "-").replaceAll("/", "_")}`, count };
    }
    count = Math.ceil(count / 2);
  }
}

/**
 * The entries that an address carries; none where it carries none that can be read.
 * @param {string} hash
 * @returns {Event[]}
 */
export function carriedEvents(hash) {
  if (!hash.startsWith(CARRIED)) {
    return [];
  }
  try {
    const binary = atob(hash.slice(CARRIED.length).replaceAll("-", "+").replaceAll("_", "/"));
    const all = JSON.parse(new TextDecoder().decode(Uint8Array.from(binary, (letter) => letter.charCodeAt(0))));
    return Array.isArray(all) ? all.filter((one) => typeof one?.id === "string" && typeof one?.stream?.id === "string" && typeof one?.order?.device === "string") : [];
  } catch {
    return [];
  }
}
