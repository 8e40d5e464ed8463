// Entries that are carried to another address arrive as they were written, in as many goes as it takes.

import assert from "node:assert/strict";
import { test } from "node:test";

import { carriedEvents, carryAddress, originOf } from "../../assets/carry.js";

const entry = (/** @type {number} */ n, words = "") => /** @type {any} */ ({ format: "traywright-event/1", stream: { kind: "visit", id: "A" }, id: `E${n}`,
  order: { round: n, device: "old", count: n }, at_ms: 1, body: { kind: "noted", words, at: {} } });

test("what is carried arrives as it was written", () => {
  const events = [entry(1, "Öl läuft: 3 µm, 90° → “zu”"), entry(2, "?+/=&#")];
  const { address, count } = carryAddress("http://192.168.1.20:8080", events);
  assert.equal(count, 2);
  const url = new URL(address);
  assert.deepEqual([url.origin, url.pathname, url.search], ["http://192.168.1.20:8080", "/", ""], "nothing of it is sent to a server");
  assert.deepEqual(carriedEvents(url.hash), events);
});

test("what is too much for one address goes in parts, the earliest first", () => {
  const events = Array.from({ length: 40 }, (_, n) => entry(n, "x".repeat(60_000)));
  const { address, count } = carryAddress("http://192.168.1.20:8080", events);
  assert.ok(count >= 1 && count < 40, String(count));
  assert.ok(address.length < 2_000_000);
  assert.deepEqual(carriedEvents(new URL(address).hash), events.slice(0, count));
});

test("an address that carries nothing, or nothing that can be read, gives nothing", () => {
  for (const hash of ["", "#", "#differ", "#carried=", "#carried=!!", "#carried=bnVsbA", "#carried=W3t9XQ", "#carried=eyJpZCI6MX0"]) {
    assert.deepEqual(carriedEvents(hash), [], hash);
  }
});

test("an address is read as a person writes it", () => {
  for (const [text, origin] of [["192.168.1.20:8080", "http://192.168.1.20:8080"], [" https://bench.local:8443/v/x ", "https://bench.local:8443"],
    ["", null], ["the computer", null], ["http://", null]]) {
    assert.equal(originOf(String(text), "http:"), origin, String(text));
  }
});
