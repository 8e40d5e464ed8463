// The visit is opened; from here on everything is written down.

import { ledgerByCommand } from "../steps.js";

/** @type {import("../world.js").Chapter} */
export const chapter = {
  title: "A visit is opened",
  story: "The grey bus rolls in. Its visit is opened from the same book, tools and task; nothing is open yet.",
  async live(day) {
    const opened = day.runOnJournal(
      "visit", "new", "--book", day.book, "--store", day.store, "--task", day.task, "--letter", "A", "--name", "the grey bus (invented)",
      "--odometer", "412300 km", "--seconds", day.seconds,
    );
    day.equal("the visit is opened, exit code 0", opened.code, 0);
    day.visit = /id +(\S+)/.exec(opened.out)?.[1] ?? "";
    day.must("it has an id", day.visit !== "", opened.out);
    day.must("the journal is one file on disk", day.files().includes("test.journal"), day.files());
    const shown = day.runOnJournal("visit", "show", day.visit).out;
    day.must(`no step of ${day.facts.get("steps")} is done, as many as the plan at the desk had`, shown.includes(`0 of ${day.facts.get("steps")} done`), shown);
    const ledger = ledgerByCommand(day);
    day.equal("nothing is open, exit code 0", [ledger.open, ledger.code], [0, 0]);
    day.equal("the vehicle may be moved, lowered, started", ledger.may, { moved: true, lowered: true, started: true });
    day.mustNot("a visit that does not exist has a ledger", day.runOnJournal("ledger", "--visit", "01NOSUCHVISIT").code === 0);
  },
};
