// The magnifier's arithmetic: where the glass stands beside a finger, and how finely a slow finger sets.

import assert from "node:assert/strict";
import { test } from "node:test";

import { gainAt, glassPlace, shareOf } from "../../assets/glass.js";

/** Radius of the glass with its rim, px. */
const RIM = 66;

test("the glass stands within every window and never beneath the finger", () => {
  for (const room of [{ width: 390, height: 844 }, { width: 360, height: 640 }, { width: 1024, height: 768 }, { width: 844, height: 390 }]) {
    for (let x = 0; x <= room.width; x += 10) {
      for (let y = 0; y <= room.height; y += 10) {
        const at = glassPlace({ x, y }, room);
        assert.ok(at.x >= RIM && at.x <= room.width - RIM && at.y >= RIM && at.y <= room.height - RIM, JSON.stringify({ x, y, at, room }));
        assert.ok(Math.hypot(at.x - x, at.y - y) >= RIM + 30, JSON.stringify({ x, y, at, room }));
      }
    }
  }
});

test("a slow finger moves the cross-hair by a quarter of its way, a fast one by all of it", () => {
  assert.equal(gainAt(0), 1 / 4);
  assert.equal(gainAt(5), 1);
  let last = 0;
  for (let speed = 0; speed < 2; speed += 0.05) {
    assert.ok(gainAt(speed) >= last);
    last = gainAt(speed);
  }
});

test("a place is told in whole thousandths and never beside the picture", () => {
  assert.equal(shareOf(60, 10, 200), 250);
  assert.equal(shareOf(-9, 0, 200), 0);
  assert.equal(shareOf(300, 0, 200), 1000);
});
