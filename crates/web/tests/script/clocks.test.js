// The clocks of waits: the same words as the server's, by a clock that may be wrong, begun by what this device has still to send.

import assert from "node:assert/strict";
import { test } from "node:test";

import { begunIn, clockWords, leftOf } from "../../assets/clock_words.js";

test("what is left is rounded up and what is over down, as the server says it", () => {
  for (const [left_s, words] of /** @type {[number, string][]} */ ([
    [5_400, "1 h 30 min left"], [3_600, "1 h left"], [3_540.2, "1 h left"], [2_040, "34 min left"], [120, "2 min left"], [91, "2 min left"],
    [89.4, "90 s left"], [60, "1 min left"], [0.2, "1 s left"], [0, "over now"], [-59, "over now"], [-60, "ended 1 min ago"],
    [-725, "ended 12 min ago"], [-7_200, "ended 2 h ago"], [-260_000, "ended 3 days ago"],
  ])) {
    assert.equal(clockWords(left_s, false), words, String(left_s));
  }
  assert.equal(clockWords(2_040, true), "~ 34 min left");
  assert.equal(clockWords(-725, true), "ended ~ 12 min ago");
});

test("a device whose clock is wrong sees its own waits by its own clock, and those of others by the server's", () => {
  const ahead_ms = 7_200_000;
  const here = { now_ms: 1_000_000_000 + ahead_ms, skew_ms: ahead_ms, device: "phone" };
  const begun_ms = 1_000_000_000 - 600_000;
  assert.equal(leftOf({ begun_ms: begun_ms + ahead_ms, length_s: 1_800, by: "phone" }, here), 1_200_000);
  assert.equal(leftOf({ begun_ms, length_s: 1_800, by: "tablet" }, here), 1_200_000);
  const late = { ...here, now_ms: begun_ms - 900_000, skew_ms: 0 };
  assert.equal(leftOf({ begun_ms, length_s: 1_800, by: "tablet" }, late), 1_800_000, "no more than the whole wait is left");
});

test("without the server a wait begins with the newest entry that begins it", () => {
  const events = [
    { at_ms: 10, body: { kind: "established", condition: "cold" } },
    { at_ms: 20, body: { kind: "part-on", part: "cover" } },
    { at_ms: 30, body: { kind: "marked", fixing: "cover-bolts" } },
    { at_ms: 40, body: { kind: "wait-began", waiting: { what: "penetrant creeps" } } },
    { at_ms: 50, body: { kind: "noted", words: "cold" } },
  ];
  assert.equal(begunIn(events, ["cold"]), 10);
  assert.equal(begunIn(events, ["cover", "cover-bolts"]), 30);
  assert.equal(begunIn(events, ["penetrant creeps"]), 40);
  assert.equal(begunIn(events, ["oil-out"]), null);
});
