// The paper of the job is printed.

import { readFileSync } from "node:fs";

/** @type {import("../world.js").Chapter} */
export const chapter = {
  title: "The pack is printed",
  story: "One pack for the engine bay: front page, kit, tray map, work list, joints. Once for the printer, once as a page to look at.",
  async live(day) {
    const of = ["--book", day.book, "--store", day.store, "--task", day.task, "--seconds", day.seconds, "--date", "2027-03-01"];
    const [pdf, html] = [day.file("pack.pdf"), day.file("pack.html")];
    day.equal("the pack is written as PDF, exit code 0", day.run("print", "pack", ...of, "--out", pdf).code, 0);
    const bytes = readFileSync(pdf, "latin1");
    day.must("it is a whole PDF", bytes.startsWith("%PDF-") && bytes.trimEnd().endsWith("%%EOF"), bytes.length);
    day.equal("and as a page, exit code 0", day.run("print", "pack", ...of, "--out", html).code, 0);
    const words = readFileSync(html, "utf8").replace(/<[^>]*>/g, " ");
    const titles = ["Kit sheet", "Shopping sheet", "Tray map", "Work list", "Joints"];
    day.equal("every kind of sheet is in it", titles.filter((title) => !words.includes(title)), []);
    const slots = JSON.parse(readFileSync(day.file("plan/tern-24.json"), "utf8")).slots.map((/** @type {{slot: string}} */ line) => line.slot);
    const labelled = slots.filter((/** @type {string} */ slot) => /^A-/.test(slot));
    day.must("the plan has slots with addresses", labelled.length > 3, slots);
    day.equal("each of them is on paper", labelled.filter((/** @type {string} */ slot) => !words.includes(slot)), []);
    const none = day.run("print", "ledger", ...of, "--out", day.file("none.pdf"));
    day.equal("there is no ledger before there is a visit, exit code 2", none.code, 2);
    day.mustNot("a file is left behind for a sheet that cannot be", day.files().includes("none.pdf"), day.files());
    await day.pictureOfFile(html, "pack");
  },
};
