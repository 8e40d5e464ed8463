// The book and the tools are checked before anything is planned from them.

import { cpSync, readFileSync, writeFileSync } from "node:fs";

/** A tightening figure with its unit. */
const FIGURE = /^(\s*tighten\s*=\s*\[?")([\d.]+) N·m/m;

/** @type {import("../world.js").Chapter} */
export const chapter = {
  title: "The book and the tools are checked",
  story: "Coffee. A torque was copied into the book last night; the program reads book and tools before the mechanic trusts them.",
  async live(day) {
    // The mechanic's own copy of the book, in which a figure has lost its unit.
    const copy = day.file("book");
    cpSync(day.book, copy, { recursive: true });
    const file = `${copy}/top.toml`;
    const whole = readFileSync(file, "utf8");
    const cut = whole.replace(FIGURE, "$1$2");
    const line = whole.slice(0, FIGURE.exec(whole)?.index).split("\n").length;
    day.must(`the unit of the figure on line ${line} is gone`, cut !== whole);
    writeFileSync(file, cut);
    const faulty = day.run("book", "check", copy);
    day.equal("a figure without a unit is a fault, exit code 1", faulty.code, 1);
    day.must(`the fault names file and line, top.toml:${line}`, faulty.out.includes(`top.toml:${line}:`), faulty.out);
    const unplanned = day.run("plan", "--book", copy, "--store", day.store, "--task", day.task, "--seconds", day.seconds);
    day.equal("nothing is planned from a faulty book, exit code 2", unplanned.code, 2);
    day.mustNot("a plan comes out of it all the same", /STRIP/.test(unplanned.out), unplanned.out);

    writeFileSync(file, whole);
    day.equal("with its unit back the book is sound, exit code 0", day.run("book", "check", copy).code, 0);
    day.equal("so are the tools", day.run("store", "check", day.store).code, 0);
    // From here on the day is planned from the copy, as a mechanic's own book.
    day.book = copy;
  },
};
