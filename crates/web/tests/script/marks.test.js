// What a tap on a single hole records besides its mark: what the step sets, with the last of them.

import assert from "node:assert/strict";
import { test } from "node:test";

import { effects } from "../../assets/marks.js";

const marked = (/** @type {string} */ fixing, /** @type {string[]} */ holes) =>
  ({ kind: "marked", fixing, holes: holes.map((hole) => ({ hole, from: "freed" })), to: "off" });
const set = { kind: "setting-changed", setting: "crank", value: "any" };

test("the last hole of all fixings records what the step sets", () => {
  const bodies = [marked("bolts", ["1", "2"]), marked("clips", ["3"]), set];
  const after = (/** @type {string[]} */ off, /** @type {string} */ fixing, /** @type {string} */ hole) =>
    effects(bodies, { fixing, hole }, (of, which) => (off.includes(`${of} ${which}`) ? "off" : "freed"));
  assert.deepEqual(after([], "bolts", "1"), []);
  assert.deepEqual(after(["bolts 1"], "bolts", "2"), [], "the clip is still on");
  assert.deepEqual(after(["bolts 1", "clips 3"], "bolts", "2"), [set]);
  assert.deepEqual(after(["bolts 1", "bolts 2"], "clips", "3"), [set]);
});

test("a step that sets nothing records nothing more", () => {
  assert.deepEqual(effects([marked("bolts", ["1"])], { fixing: "bolts", hole: "1" }, () => undefined), []);
});
