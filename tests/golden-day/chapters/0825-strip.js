// The strip begins, step by step and hole by hole.

import { ledgerByCommand, open, see, stepOn, tap, tapHole, tapMain, tapUntil } from "../steps.js";

/** @type {import("../world.js").Chapter} */
export const chapter = {
  title: "The strip begins",
  story: "Cover, duct, clamps: the phone hangs at the wing, one tap a step. One hole is tapped by mistake and taken back.",
  async live(day) {
    await open(day, "phone", "bench");
    const first = await stepOn(day, "phone");
    day.equal("the phone shows the first step of the plan", [first.number, String(first.of)], [1, day.facts.get("steps")]);
    await day.picture("phone", "first-step");

    await tapUntil(day, "phone", /rubber cups/);
    const before = ledgerByCommand(day);
    await tapHole(day, "phone", "1", "off");
    day.tally.tapHoleOff();
    day.equal("a tap on one hole opens one line", ledgerByCommand(day).open, before.open + 1);
    await day.picture("phone", "one-hole");
    await tap(day, "phone", "[data-undo]");
    day.tally.undoHoleOff();
    day.equal("Take back closes it again", ledgerByCommand(day).open, before.open);
    day.must("the hole's mark is as before", (await day.page("phone").getAttribute('[data-hole="1"]', "data-state")) === "in-place");

    day.equal("one tap says all four, where they are left", await tapMain(day, "phone"), "All 4 off, left on the part; acoustic engine cover off");
    const said = await tapUntil(day, "phone", /Take off the intake hose/);
    day.must("the steps come one after the other", said.length >= 5, said);
    const ledger = ledgerByCommand(day);
    day.must("what is off stands in the ledger with its slot", ledger.sections.off?.some((line) => /A-T1-\d\d/.test(line)), ledger.sections);
    day.mustNot("it may be started", ledger.may.started, ledger.may);
    day.mustNot("anything is finger-tight or tight that was only taken off", ledger.sections["finger-tight"], ledger.sections);
    await open(day, "phone", "trays");
    await see(day, "phone", /A-T1-01/);
    await day.picture("phone", "trays", true);
  },
};
