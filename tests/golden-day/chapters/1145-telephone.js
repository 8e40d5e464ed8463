// The telephone; the work rests and the computer is switched off over lunch.

import { readFileSync } from "node:fs";

import { ledgerByCommand, open, see, stepOn, tap } from "../steps.js";

/** @type {import("../world.js").Chapter} */
export const chapter = {
  title: "The telephone, then lunch",
  story: "The owner calls. One note, one tap, and the work rests; at noon the computer is switched off.",
  async live(day) {
    await open(day, "phone", "bench");
    const inHand = await stepOn(day, "phone");
    day.facts.set("in hand", inHand.sentence);
    await day.page("phone").tap(".sheet a[href$='/pause']");
    await see(day, "phone", /What to know on the way back/);
    await day.page("phone").fill("textarea", "Owner on the telephone. Half a bolt is still in hole 2.");
    await day.picture("phone", "pause");
    await tap(day, "phone", "form button.main");
    await see(day, "phone", /Back at the bench/);

    const before = ledgerByCommand(day);
    const code = await day.shop.stop();
    day.equal("the server ends by Ctrl-C with exit code 0", code, 0);
    day.must("the journal is closed: nothing of it lies beside it", day.files().filter((name) => name.startsWith("test.journal-")).length === 0, day.files());
    const stranger = await day.stranger("phone");
    const reached = await stranger.goto(day.shop.at("/")).then(() => true, () => false);
    day.mustNot("a new device reaches a server that is switched off", reached);
    await stranger.context().close();
    await day.page("phone").goto(day.shop.at("/"));
    day.must("the phone still opens what it keeps", (await day.page("phone").textContent("h1")) === "Visits");
    const shown = day.runOnJournal("visit", "show", day.visit).out;
    day.must("the journal remembers the note", shown.replace(/\s+/g, " ").includes("Half a bolt is still in hole 2"), shown);
    day.equal("the ledger says the same with the server off", ledgerByCommand(day).sections, before.sections);
    const resume = day.file("resume.html");
    day.equal("the resume card is printed, exit code 0", day.runOnJournal("print", "resume", "--visit", day.visit, "--out", resume).code, 0);
    day.must("it carries the note", readFileSync(resume, "utf8").includes("Half a bolt is still in hole 2"));
    await day.pictureOfFile(resume, "resume-card");
  },
};
