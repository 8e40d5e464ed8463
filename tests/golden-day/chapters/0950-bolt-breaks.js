// A bolt breaks; the rest is planned anew.

import { linesUnder } from "../ledger.js";
import { ledgerByCommand, open, see, stepOn, tap, tapHole, tapUntil } from "../steps.js";

/** @type {import("../world.js").Chapter} */
export const chapter = {
  title: "A bolt breaks",
  story: "Three bolts hold the thermostat housing. The first comes out; the second breaks off. Two taps on the phone tell it, and the rest is planned anew.",
  async live(day) {
    await open(day, "phone", "bench");
    await tapUntil(day, "phone", /3 × thermostat housing bolts/);
    const planned = await stepOn(day, "phone");
    await tapHole(day, "phone", "1", "off");
    day.tally.tapHoleOff();
    const before = ledgerByCommand(day);
    day.mustNot("anything is broken yet", before.sections.broken, before.sections);

    // The menu says which one it was: naming it marks nothing.
    await day.page("phone").tap("[data-open=happened]");
    await tap(day, "phone", '#happened [data-names]:text-is("2")');
    await day.picture("phone", "what-happened");
    await tap(day, "phone", "#happened button:has-text('broke off')");
    day.tally.breakInHole();
    await see(day, "phone", new RegExp(`1(?: to \\d+)? of (?!${planned.of}\\b)\\d+, strip`));
    const now = await stepOn(day, "phone");
    day.must(`the rest is a plan of its own, ${now.of} steps instead of ${planned.of}`, now.of < planned.of, [now, planned]);
    day.must("it begins with the bolt that is left", /1 × thermostat housing bolts/.test(now.sentence), now);
    const mark = () => day.page("phone").getAttribute('[data-hole="2"]', "data-state");
    day.equal("the sheet shows the broken bolt at its hole", await mark(), "broken");
    await day.picture("phone", "planned-anew");
    await day.page("phone").tap("[data-turn]");
    await day.picture("phone", "broken-hole");

    const ledger = ledgerByCommand(day);
    day.equal("one line is broken, of hole 2", ledger.sections.broken?.map((line) => /thermostat housing bolts 2\b/.test(line)), [true]);
    day.equal("one happening is not dealt with", linesUnder(ledger, "happenings not dealt with"), 1);
    day.mustNot("hole 3 counts as off", ledger.sections.off?.some((line) => /thermostat housing bolts 3\b/.test(line)), ledger.sections.off);
    const ahead = await day.page("phone").evaluate(async () => (await fetch(`${location.pathname}/sheets?count=40&step=1`)).text());
    day.must("the rest of the bolt is to be brought out, and its thread seen to", /Extract the broken remainder/.test(ahead) && /Chase the thread/.test(ahead));
    await open(day, "phone", "ledger");
    await day.picture("phone", "ledger", true);
  },
};
