// The end of the day: a backup, the check of the journal, the owner's report.

import { readFileSync } from "node:fs";

import { entriesInJournal, ledgerByCommand } from "../steps.js";

/** @type {import("../world.js").Chapter} */
export const chapter = {
  title: "The end of the day",
  story: "A backup while the server runs, a check of the journal, and the report for the owner, who comes at six.",
  async live(day) {
    const copy = day.file("evening.journal");
    day.equal("the backup is written and checked, exit code 0", day.runOnJournal("backup", "--out", copy).code, 0);
    day.mustNot("a backup overwrites one that is there", day.runOnJournal("backup", "--out", copy).code === 0);
    const entries = entriesInJournal(day);
    const checked = day.run("check-journal", "--journal", copy);
    day.equal("the copy is sound as well, exit code 0", checked.code, 0);
    day.must(`it holds the same ${entries} entries`, checked.out.includes(`${entries} entries`), checked.out);
    const of = day.run("ledger", "--visit", day.visit, "--journal", copy);
    day.equal("and gives the same ledger", of.out, ledgerByCommand(day).text);
    const owner = day.file("owner.html");
    day.equal("the owner's report is printed, exit code 0", day.runOnJournal("print", "owner", "--visit", day.visit, "--date", "2027-03-01", "--out", owner).code, 0);
    const words = readFileSync(owner, "utf8").replace(/<[^>]*>/g, " ").replace(/\s+/g, " ");
    day.must("it names the vehicle, the distance and what was done", ["the grey bus", "412300 km", "thermostat"].every((word) => words.includes(word)), words.slice(0, 2_000));
    day.mustNot("it says handed over while lines are open", /handed over/i.test(words));
    await day.pictureOfFile(owner, "owner");
    const shown = day.runOnJournal("visit", "show", day.visit).out;
    day.mustNot("the visit is closed over night", /closed and handed over/.test(shown), shown);
    day.equal("the server ends with exit code 0", await day.shop.stop(), 0);
  },
};
