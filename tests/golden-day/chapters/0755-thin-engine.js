// A second engine that nobody has described: a first book in minutes, a plan that claims nothing, and what makes it sure.

import { readFileSync, writeFileSync } from "node:fs";

/**
 * What a plan says of its fasteners.
 * @typedef {{coverage: {proven: number, likely: number, not_known: number, no: number}, go: boolean, open: {words: string}[]}} Readiness
 */

/** @type {import("../world.js").Chapter} */
export const chapter = {
  title: "An engine that nobody has described",
  story: "A neighbour asks for a look behind one cover of an engine without a book. A title, a count and a head size are all there is.",
  async live(day) {
    const file = day.file("neighbour.toml");
    day.equal("a first book is written, exit code 0", day.run("book", "new", "--out", file, "--title", "the neighbour's engine").code, 0);
    day.equal("it is not written over, exit code 2", day.run("book", "new", "--out", file, "--title", "another").code, 2);
    const checked = day.run("book", "check", file, "--write");
    day.equal("it passes, exit code 0", checked.code, 0);
    day.must("what is not told yet stands apart, with what it would bring", /not told yet/i.test(checked.out) && checked.out.includes("the room"), checked.out);
    const first = readFileSync(file, "utf8");
    day.must("keys were made from the titles and written in", first.includes('key = "timing-cover"'), first);

    /** @returns {Readiness} */
    const ready = () => {
      const out = day.run("plan", "--book", file, "--store", day.store, "--seconds", day.seconds, "--json").out;
      return JSON.parse(out).readiness;
    };
    const unknown = ready();
    day.equal("ten fasteners, none of them known", unknown.coverage, { proven: 0, likely: 0, not_known: 10, no: 0 });
    day.mustNot("the plan says go", unknown.go);
    day.must("it asks for the room in one line", unknown.open.filter((line) => line.words.includes("The room is not known")).length === 1, unknown.open);
    const labels = day.run("print", "labels", "--book", file, "--store", day.store, "--seconds", day.seconds, "--out", day.file("neighbour-labels.html"));
    day.equal("labels can be had all the same, exit code 0", labels.code, 0);
    day.must("and have the slot of the ten bolts", readFileSync(day.file("neighbour-labels.html"), "utf8").includes("timing cover bolts"));

    // One word for the room, from a look; then the figure, from a document with its page.
    writeFileSync(file, first.replace('# room    = "open"', 'room    = "open"').replace("# thread ", "thread "));
    const likely = ready();
    day.equal("with a word for the room and the thread they are likely", likely.coverage.likely, 10);
    day.mustNot("likely is go", likely.go);
    const told = readFileSync(file, "utf8").replace("# tighten", "tighten").replace("# source ", "source ");
    writeFileSync(file, told);
    const sure = ready();
    day.equal("with a figure and its citation they are proven", sure.coverage.proven, 10);
    day.must("and only then it is go", sure.go === true && sure.open.length === 0, sure.open);
    await day.pictureOfFile(day.file("neighbour-labels.html"), "thin-engine-labels");

    // A visit on the first book: begun while the room is not known, by name, and that stays in the report.
    writeFileSync(file, first);
    const journal = ["--journal", day.file("neighbour-journal.sqlite")];
    const opened = day.run("visit", "new", "--book", file, "--store", day.store, "--name", "the neighbour's engine", "--seconds", day.seconds, ...journal, "--json");
    const visit = JSON.parse(opened.out).id;
    const gone = day.run("visit", "go-on", visit, "--by", "Kim", ...journal);
    day.must("Kim goes on while it stands open", gone.out.includes("Kim went on while"), gone.out + gone.err);
    const report = day.file("neighbour-report.html");
    day.run("print", "owner", "--visit", visit, ...journal, "--out", report);
    day.must("and the owner's report says so", readFileSync(report, "utf8").includes("Kim went on while"));
  },
};
