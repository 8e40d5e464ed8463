// The ledger says exactly what is open: in the browser, by command, and as JSON.

import { differences } from "../ledger.js";
import { ledgerByCommand, ledgerOn, open, tap } from "../steps.js";

/** The fasteners of the front undertray, as the book has them: eleven screws M6 × 20, three clips. */
const UNDERTRAY = [
  ...Array.from({ length: 11 }, (_, n) => `undertray screws ${n + 1} `),
  ...[12, 13, 14].map((hole) => `undertray clips ${hole} `),
].sort();

/** The clips of engine cover and duct, which go on after it: four cups, two clips. */
const COVERS = [
  ...[1, 2, 3, 4].map((hole) => `rubber cups on ball studs ${hole} `),
  ...[1, 2].map((hole) => `duct clips ${hole} `),
];

/** Headings of the lines besides, and how many lines each has. */
const OTHERS = {
  "count does not agree": 1,
  "happenings not dealt with": 1,
  "not as it should be at hand-over": 1,
  "parts off": 3,
  "to be restored": 2,
};

/** @type {import("../world.js").Chapter} */
export const chapter = {
  title: "What is open",
  story: "The apprentice counts the tray and comes to ten screws. The ledger is read, first on the tablet, then at the computer: every line, and no other.",
  async live(day) {
    await open(day, "tablet", "trays");
    const tray = day.page("tablet").locator("li:has(.why:has-text('undertray screws'))");
    await tray.locator("button[data-ask=count]").tap();
    await day.page("tablet").fill("dialog input[name=counted]", "10");
    await tap(day, "tablet", "dialog form button");
    await day.page("tablet").waitForFunction(() => /Counted: 10 of 11/.test(document.querySelector("main")?.textContent ?? ""));
    await day.picture("tablet", "ten-counted", true);

    const sheet = await ledgerOn(day, "tablet");
    await day.picture("tablet", "ledger", true);
    const off = sheet.sections.off ?? [];
    const notOnce = /** @param {string[]} names */ (names) => names.filter((name) => off.filter((line) => line.startsWith(name)).length !== 1);
    day.equal("fourteen fasteners of the undertray are off, each by its hole", notOnce(UNDERTRAY), []);
    day.equal("and the six of cover and duct", notOnce(COVERS), []);
    day.equal("and no other", off.length, UNDERTRAY.length + COVERS.length);
    const others = Object.fromEntries(Object.entries(sheet.sections).filter(([title]) => title !== "off"));
    const counts = Object.fromEntries(Object.entries(others).map(([title, lines]) => [title, lines.length]));
    day.equal("besides: three parts, the lift, key and coolant, the broken bolt, and the count that does not agree", counts, OTHERS);
    const besides = Object.values(OTHERS).reduce((sum, count) => sum + count, 0);
    day.equal("the sheet's own sum is the number of its lines", sheet.open, off.length + besides);
    day.mustNot("the sheet offers to close the visit", await day.page("tablet").locator("[data-ask=close]").isVisible());

    const command = ledgerByCommand(day);
    day.equal("the command says the same, line by line", differences(command, sheet), []);
    day.equal("its exit code is 1", command.code, 1);
    day.mustNot("it may be started", command.may.started);
  },
};
