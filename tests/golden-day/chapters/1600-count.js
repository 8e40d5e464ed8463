// A count by hand closes its line.

import { ledgerByCommand, open, tap } from "../steps.js";

/** @type {import("../world.js").Chapter} */
export const chapter = {
  title: "The eleventh screw",
  story: "It lay under the tray. Counted again on the phone, eleven of eleven: one line closes, and only that one.",
  async live(day) {
    const before = ledgerByCommand(day);
    await open(day, "phone", "trays");
    await tap(day, "phone", "button:has-text('11 counted, correct')");
    await day.page("phone").waitForFunction(() => /Counted: 11 of 11/.test(document.querySelector("main")?.textContent ?? ""));
    await day.picture("phone", "eleven-counted", true);
    const after = ledgerByCommand(day);
    day.equal("one line is closed", after.open, before.open - 1);
    const { "count does not agree": gone, ...rest } = before.sections;
    day.equal("it was the count's", gone?.length, 1);
    day.equal("every other line stands as before", after.sections, rest);
    day.mustNot("a count puts a screw back in", after.sections.off?.length !== 20, after.sections.off);
  },
};
