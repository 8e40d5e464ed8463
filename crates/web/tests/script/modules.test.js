// The scripts of the pages as files: short enough to read, and each that is asked for is there and is served.

import assert from "node:assert/strict";
import { readdirSync, readFileSync } from "node:fs";
import { test } from "node:test";

const assets = new URL("../../assets/", import.meta.url);
const scripts = readdirSync(assets).filter((name) => name.endsWith(".js"));
const text = (/** @type {string} */ name) => readFileSync(new URL(name, assets), "utf8");

/** Most lines of a file, as everywhere in the project. */
const MOST_LINES = 500;

test("every script opens with a sentence and has at most 500 lines", () => {
  assert.ok(scripts.includes("bench.js"));
  for (const name of scripts) {
    assert.match(text(name), /^\/\/ [A-Z].*\n/, name);
    const lines = text(name).split("\n").length - 1;
    assert.ok(lines <= MOST_LINES, `${name} has ${lines} lines`);
  }
});

test("every script that another asks for is there, served, and asks for none that asks back", () => {
  const served = readFileSync(new URL("../../src/assets.rs", import.meta.url), "utf8");
  /** @type {Map<string, string[]>} */
  const wants = new Map(scripts.map((name) => [name, [...text(name).matchAll(/^import .* from "\.\/([\w-]+\.js)";$/gm)].map((found) => found[1])]));
  assert.ok((wants.get("bench.js")?.length ?? 0) > 4, "the imports are found");
  /** @type {(name: string, through: string[]) => void} */
  const follow = (name, through) => {
    assert.ok(!through.includes(name), `in a ring: ${[...through, name].join(" > ")}`);
    assert.ok(wants.has(name), `${through.at(-1)} asks for ${name}, which is not there`);
    assert.ok(served.includes(`../assets/${name}`), `${name} is not served`);
    wants.get(name)?.forEach((next) => follow(next, [...through, name]));
  };
  follow("bench.js", []);
});
