// What holds after every chapter once the visit is open, whatever the chapter was about.

import { linesUnder, ledgerOfText } from "./ledger.js";

/** @typedef {import("./world.js").World} World */

/**
 * Checks the journal, the pages and the tally; throws where something does not hold.
 * @param {World} day
 */
export async function keepLaws(day) {
  day.must("no script of a page has failed", day.errors.length === 0, day.errors);
  if (day.visit === "") {
    return;
  }
  const sound = day.shop.run("check-journal");
  day.must("the journal is sound", sound.code === 0, sound);
  const answer = day.shop.run("ledger", "--visit", day.visit);
  const ledger = ledgerOfText(answer.out);
  day.equal("the ledger's exit code is 1 while a line is open, else 0", answer.code, ledger.open > 0 ? 1 : 0);
  const lines = Object.values(ledger.sections).flat().length;
  day.equal(`the ledger's sum is the number of its lines, ${lines}`, ledger.open, lines);
  const { off, fingerTight, broken, parts, caps } = day.tally;
  const counted = { off, fingerTight, broken, parts, caps };
  const listed = {
    off: linesUnder(ledger, "off"),
    fingerTight: linesUnder(ledger, "finger-tight"),
    broken: linesUnder(ledger, "broken"),
    parts: linesUnder(ledger, "parts off"),
    caps: (ledger.sections["caps in"] ?? []).reduce((sum, line) => sum + Number(/: (\d+) caps? in/.exec(line)?.[1]), 0),
  };
  day.equal(`the ledger lists what was tallied apart: ${off} off, ${fingerTight} finger-tight, ${broken} broken, ${parts} parts off, ${caps} caps in`, listed, counted);
  const raised = (ledger.sections["not as it should be at hand-over"] ?? []).filter((line) => /\blift\b/.test(line));
  day.equal(`the ledger asks for the lift only where it is not on the ground: ${day.tally.lift}`, raised.length, day.tally.lift === "ground" ? 0 : 1);
  if (day.shop.server) {
    const [page] = [...day.pages.values()];
    const visits = page ? await (await page.request.get(day.shop.at("/"))).text() : "";
    day.mustNot("an entry is kept aside", /kept aside for someone/.test(visits));
  }
}
