// The line drops; what is tapped waits on the phone and arrives once.

import { settled, tick } from "../../../crates/web/tests/browser/shop.js";
import { entriesInJournal, ledgerByCommand, open, stepOn } from "../steps.js";

/** How many steps are done without a line. */
const STEPS = 2;

/** @type {import("../world.js").Chapter} */
export const chapter = {
  title: "The line drops",
  story: "Behind the engine the phone has no line. The bench goes on; the foot of the sheet says how much waits, and all of it arrives when the phone is back on the wing.",
  async live(day) {
    await open(day, "phone", "bench");
    const phone = day.page("phone");
    // The sheets to come lie on the phone before the line is gone.
    await phone.waitForTimeout(1_000);
    const entries = entriesInJournal(day);
    const before = ledgerByCommand(day);
    await phone.context().setOffline(true);
    const said = [];
    for (let n = 0; n < STEPS; n += 1) {
      said.push(await tick(phone));
    }
    await phone.waitForFunction(() => /\d+ waiting/.test(document.querySelector("#waiting-count")?.textContent ?? ""));
    const waiting = Number.parseInt((await phone.textContent("#waiting-count")) ?? "", 10);
    day.must(`${STEPS} steps are tapped without a line: ${said.join("; ")}`, waiting >= STEPS, waiting);
    await day.picture("phone", "no-line");
    day.mustNot("the server knows of it before it has arrived", entriesInJournal(day) !== entries || ledgerByCommand(day).open !== before.open);

    await phone.context().setOffline(false);
    await settled(phone);
    said.forEach((label) => day.tally.tap(label));
    day.equal("what waited is in the journal, each once", entriesInJournal(day), entries + waiting);
    await open(day, "phone", "bench");
    const now = await stepOn(day, "phone");
    day.must("the bench goes on behind it", now.phase === "work", now);
    await day.picture("phone", "back-on-the-line");
  },
};
