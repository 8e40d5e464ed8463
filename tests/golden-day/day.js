// Lives the golden day: every chapter in the order of its time, each with what must hold and what must not, and what holds always.

import assert from "node:assert/strict";
import { readdirSync } from "node:fs";
import path from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";

import { keepLaws } from "./laws.js";
import { LEFT, World } from "./world.js";

const here = path.dirname(fileURLToPath(import.meta.url));

/** Longest that a chapter may take, ms, on a slow machine. */
const MAX_CHAPTER_MS = 90_000;

/** A chapter's file: `0910-what-it-is-about.js`. */
const NAME = /^([0-2]\d)([0-5]\d)-[a-z0-9-]+\.js$/;

/**
 * The chapters in the order of the day.
 * @returns {Promise<{time: string, name: string, chapter: import("./world.js").Chapter}[]>}
 */
async function chapters() {
  const folder = path.join(here, "chapters");
  const names = readdirSync(folder).sort();
  return Promise.all(names.map(async (name) => {
    const found = NAME.exec(name);
    assert.ok(found, `chapters/${name}: a chapter is named by its time, as 0910-what-it-is-about.js`);
    const { chapter } = await import(pathToFileURL(path.join(folder, name)).href);
    assert.ok(chapter, `chapters/${name} exports no chapter`);
    return { time: `${found[1]}:${found[2]}`, name, chapter };
  }));
}

/**
 * Lets a chapter happen, and gives up when it takes too long.
 * @param {World} day
 * @param {import("./world.js").Chapter} chapter
 */
async function live(day, chapter) {
  /** @type {NodeJS.Timeout | undefined} */
  let clock;
  const tooLong = new Promise((_, reject) => {
    clock = setTimeout(() => reject(new Error(`“${chapter.title}” takes longer than ${MAX_CHAPTER_MS / 1000} s`)), MAX_CHAPTER_MS);
  });
  await Promise.race([chapter.live(day), tooLong]).finally(() => clearTimeout(clock));
}

const start = Date.now();
const seconds = () => ((Date.now() - start) / 1000).toFixed(0);
const day = new World();
let failed = "";
try {
  await day.open();
  for (const { time, name, chapter } of await chapters()) {
    failed = name;
    Object.assign(day, { time, typed: [], checks: { must: 0, mustNot: 0 } });
    const pictures = day.pictures.length;
    day.tell(`\n${time}  ${chapter.title}`);
    day.tell(`       ${chapter.story}`);
    await live(day, chapter);
    assert.ok(day.checks.must > 0 && day.checks.mustNot > 0, `${name} asserts both what must hold and what must not`);
    await keepLaws(day);
    if (day.typed.length > 0) {
      await day.pictureOfTerminal();
    }
    assert.ok(day.pictures.length > pictures, `${name} leaves a picture`);
  }
  day.tell(`\nThe golden day is over: ${day.pictures.length} pictures in target/golden-day, ${seconds()} s.`);
} catch (error) {
  process.exitCode = 1;
  day.tell(`\nThe golden day FAILED in chapters/${failed} after ${seconds()} s; what was on the screens is in target/golden-day.`);
  console.error(error);
  for (const device of day.pages.keys()) {
    await day.picture(device, "failed").catch(() => undefined);
  }
  await day.pictureOfTerminal().catch(() => undefined);
} finally {
  await day.close();
}
