// The same ledger for other programs: JSON.

import { ledgerOfJson } from "../ledger.js";
import { ledgerOn } from "../steps.js";

/** @type {import("../world.js").Chapter} */
export const chapter = {
  title: "What is open, for another program",
  story: "The list of the day goes to the display over the door. It is asked for as JSON, and holds the same lines as the sheet in the hand.",
  async live(day) {
    const answer = day.runOnJournal("ledger", "--visit", day.visit, "--json");
    day.equal("its exit code is 1 as well", answer.code, 1);
    const json = ledgerOfJson(answer.out, day.visit);
    day.equal("it names its format", json.format, "traywright-ledger/1");
    const sheet = await ledgerOn(day, "tablet");
    day.equal("it has the sum of the sheet", json.open, sheet.open);
    day.equal("it says the same of moving, lowering, starting", json.may, sheet.may);
    day.equal("it holds the lines of the sheet, and no other", json.lines, Object.values(sheet.sections).flat().sort());
    day.mustNot("it calls an open ledger settled", json.isSettled);
  },
};
