// Everything goes back but the undertray, which waits for the leak check of the morning, and the cover and the coolant that come after it.

import { linesUnder } from "../ledger.js";
import { ledgerByCommand, open, stepOn, tapMain, tapUntil } from "../steps.js";

/** @type {import("../world.js").Chapter} */
export const chapter = {
  title: "The refit",
  story: "Bolts by hand first, then in two passes; housing, hose, filter, plugs, and the lift up. The undertray stays off for the night: the leak check is in the morning, and cover and coolant come after it.",
  async live(day) {
    await open(day, "tablet", "bench");
    const before = day.tally.fingerTight;
    await tapMain(day, "tablet");
    day.equal("three bolts are run in, none of them tight", day.tally.fingerTight, before + 3);
    const ledger = ledgerByCommand(day);
    day.equal("the ledger says finger-tight of each", linesUnder(ledger, "finger-tight"), day.tally.fingerTight);
    day.mustNot("finger-tight may be started", ledger.may.started);
    await tapMain(day, "tablet");
    day.equal("after the first of two passes they are still not tight", linesUnder(ledgerByCommand(day), "finger-tight"), day.tally.fingerTight);
    await day.picture("tablet", "second-pass");
    await tapMain(day, "tablet");
    const tight = ledgerByCommand(day);
    day.mustNot("a bolt of the housing is open after the second pass", JSON.stringify(tight.sections["finger-tight"] ?? "").includes("thermostat housing bolts"), tight.sections);

    const said = await tapUntil(day, "tablet", /Set the front undertray in place/);
    day.must("the rest goes back step by step", said.length > 8, said.length);
    day.equal("only the undertray, the engine cover and the duct are off", [day.tally.off, day.tally.fingerTight, day.tally.parts, day.tally.caps], [20, 0, 3, 0]);
    day.equal("the vehicle is up for it", day.tally.lift, "up");
    day.must("the tablet shows the undertray's step", (await stepOn(day, "tablet")).phase === "refit");
    await day.picture("tablet", "undertray-waits");
  },
};
