// A second device goes on; the phone follows.

import { linesUnder } from "../ledger.js";
import { ledgerByCommand, open, see, stepOn, tap, tapMain, tapUntil } from "../steps.js";

/** @type {import("../world.js").Chapter} */
export const chapter = {
  title: "The tablet goes on",
  story: "The apprentice brings the tablet. It is paired by a code from the phone and goes on where the phone is: the new thermostat, the broken bolt out, a new one in its place.",
  async live(day) {
    await day.pair("tablet", "phone");
    await open(day, "phone", "bench");
    await open(day, "tablet", "bench");
    day.equal("both show the same step", await stepOn(day, "tablet"), await stepOn(day, "phone"));
    await day.picture("tablet", "goes-on");
    const said = await tapUntil(day, "tablet", /Extract the broken remainder/);
    day.must("the thermostat is renewed on the tablet", said.length >= 1, said);
    await see(day, "phone", /Extract the broken remainder/);
    day.must("the phone has followed without a tap", /Extract the broken remainder/.test((await stepOn(day, "phone")).sentence));
    await day.picture("tablet", "extract");
    await tapMain(day, "tablet");
    await tapUntil(day, "tablet", /run in 3 × thermostat housing bolts/);

    // The broken bolt stands against it until a new one is there.
    const page = day.page("tablet");
    day.must("something stands against running in a broken bolt", await page.locator(".sheet .main[disabled]").isVisible());
    day.must("the sheet says what", /thermostat housing bolts 2 is broken/.test((await page.textContent(".refusal")) ?? ""));
    await day.picture("tablet", "stands-against");
    await open(day, "tablet", "tell");
    await page.tap("summary:has-text('thermostat housing bolts')");
    await tap(day, "tablet", "button:visible:text-is('2 is new')");
    day.tally.renewBroken();
    await open(day, "tablet", "bench");
    day.mustNot("it still stands against it", await page.locator(".sheet .main[disabled]").isVisible());
    const ledger = ledgerByCommand(day);
    day.mustNot("a bolt is still broken", ledger.sections.broken, ledger.sections);
    day.equal("that it happened stays until somebody has dealt with it", linesUnder(ledger, "happenings not dealt with"), 1);
  },
};
