// Two vehicles and their owners: one is measured, decided, finished and reported; one has to make room.

import { answer, begin, close, find, OwnerShop, tickUntil } from "../../../crates/web/tests/browser/owners.js";
import { rested, settled } from "../../../crates/web/tests/browser/shop.js";

/** @type {import("../world.js").Chapter} */
export const chapter = {
  title: "Two owners",
  story: "A grey bus near its leak-down limit, a green van in the way. One owner says yes and no; the van rolls out; next year's work is known.",
  async live(day) {
    const shop = new OwnerShop();
    try {
      await shop.start();
      const page = await shop.device(/** @type {import("../world.js").Browser} */ (day.chrome), { viewport: { width: 390, height: 844 }, isMobile: true, hasTouch: true }, "phone");
      const grey = await begin(shop, page, "the grey bus", "240000 km", ["look-inside"]);
      const green = await begin(shop, page, "the green van", "98500 mi", ["look-inside", "look-behind"]);

      await shop.open(page, grey, "bench");
      await tickUntil(page, /leak-down/i);
      await page.fill("form.reading input[name=value0]", "12");
      await page.fill("form.reading input[name=value1]", "19");
      await page.tap("form.reading button:has-text('Keep')");
      await page.waitForSelector("form.reading .told.close");
      day.must("19 % of at most 20 %, read to 2 %, is too close to call", /Too close to call/.test((await page.textContent("form.reading")) ?? ""));
      day.mustNot("it counts as within", (await page.locator("form.reading .told.pass").count()) > 1);
      await settled(page);
      for (const sign of ["close", "fail"]) {
        await page.tap("div.reading button:has-text('Crusted')");
        await page.waitForSelector(`div.reading .told.${sign}`);
        await settled(page);
      }

      await find(shop, page, grey, { words: "seal of the cover is hard", from: "12.50", to: "40", left: "it leaks oil", task: "renew-seal" });
      await find(shop, page, grey, { words: "ports are crusted", from: "180", to: "260", left: "it uses more fuel" });
      await answer(page, "seal of the cover", "Do it");
      await answer(page, "ports are crusted", "Leave it");
      const open = shop.run("ledger", "--visit", grey).out;
      day.must("what the owner wants is a line until it is done", /the owner wants it done/.test(open), open);
      await rested(page);
      await page.tap("#findings button:has-text('Plan it now')");
      await page.waitForURL(/\/bench/, { timeout: 60_000 });
      await settled(page);

      await shop.open(page, green, "bench");
      await tickUntil(page, /joint behind the wheel|leak-down/i);
      await shop.open(page, green, "ledger");
      day.mustNot("a van without its wheel may be moved", /may be movedyes/i.test((await page.textContent(".verdicts")) ?? ""));
      await page.goto(shop.at("/today"));
      const today = (await page.textContent("main")) ?? "";
      day.must("the sheet of the day says how the evening stands", /Evening/.test(today) && /must not be moved/.test(today), today);
      await shop.open(page, green, "ledger");
      await page.tap("form.roll button");
      await page.waitForURL(/\/bench/, { timeout: 60_000 });
      await settled(page);
      await tickUntil(page, /Every step is done/);
      await shop.open(page, green, "ledger");
      day.must("rolled together it may be moved", /may be movedyes/i.test((await page.textContent(".verdicts")) ?? ""));

      await shop.open(page, grey, "bench");
      await tickUntil(page, /Every step is done/);
      await close(shop, page, grey);
      await page.goto(shop.at(`/v/${grey}/paper/owner`));
      const report = (await page.textContent("body")) ?? "";
      day.must("the report has the reading, the new seal and what was left", [/19 %/, /seal of the top cover/i, /ports are crusted/i].every((words) => words.test(report)), report);

      await page.goto(shop.at("/vehicles?find=crusted"));
      await page.tap("a:has-text('the grey bus')");
      await page.waitForSelector("h1:has-text('the grey bus')");
      const next = (await page.textContent("main")) ?? "";
      day.must("next year's work is known, and what was left is not forgotten", /at 340000 km/i.test(next) && /left by the owner/.test(next), next);
      await day.pictureOf(page, "vehicle");
    } finally {
      await shop.close();
    }
  },
};
