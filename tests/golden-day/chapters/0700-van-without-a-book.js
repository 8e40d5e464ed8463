// The day begins with an engine that nobody has described: told by taps, planned back, and a book is left.

import path from "node:path";

import { rested, settled, Shop, tick } from "../../../crates/web/tests/browser/shop.js";

/**
 * Taps heads and a size, and writes them down.
 * @param {import("../world.js").Page} page
 * @param {{heads: number, size: string, button: string}} what
 */
async function tellOne(page, { heads, size, button }) {
  await rested(page);
  await page.evaluate(() => scrollTo(0, 0));
  const box = await page.locator("[data-part=heads]").boundingBox();
  for (let at = 0; at < heads && box; at += 1) {
    await page.touchscreen.tap(box.x + 30 + 45 * at, box.y + 70);
    await page.waitForTimeout(280);
  }
  await page.tap(`[data-part=drives] [data-word="${size}"]`);
  await page.tap(`[data-part=${button}]`);
  await page.waitForFunction(() => document.querySelector("[data-part=count]")?.textContent === "0" && !document.documentElement.dataset.telling);
}

/** @type {import("../world.js").Chapter} */
export const chapter = {
  title: "A van whose engine nobody has described",
  story: "Before coffee a van is pushed in. No book, no time to write one: what comes off is told as it comes off.",
  async live(day) {
    const shop = new Shop();
    try {
      await shop.start();
      const page = await shop.device(/** @type {import("../world.js").Browser} */ (day.chrome), { viewport: { width: 390, height: 844 }, isMobile: true, hasTouch: true }, "phone");
      await page.goto(shop.at("/begin?book="));
      await page.fill("input[name=name]", "the white van");
      await page.tap("button.main");
      await page.waitForURL(/\/next/);
      await settled(page);
      const visit = /\/v\/([^/]+)\//.exec(page.url())?.[1] ?? "";
      await page.tap('[data-part=kinds] [data-word="hose"]');
      day.must("a hose brings its warning before anything is tapped off", /WARNING/.test((await page.textContent("[data-part=caution]")) ?? ""));
      await tellOne(page, { heads: 2, size: "hexagon 8 mm", button: "main" });
      await tellOne(page, { heads: 4, size: "hexagon 10 mm", button: "other" });
      await tellOne(page, { heads: 2, size: "hexagon 13 mm", button: "main" });
      await settled(page);
      const list = (await page.textContent("[data-part=list]")) ?? "";
      day.must("each lot has a bag of its own", ["A-B01", "A-B02", "A-B03"].every((code) => list.includes(code)), list);
      day.must("two parts and eight fasteners are off", (await page.textContent("[data-part=so-far]"))?.startsWith("2 off, 8 fasteners"));

      await page.tap("[data-part=plan-words]");
      await page.waitForURL(/\/bench/, { timeout: 60_000 });
      await settled(page);
      await tick(page);
      await settled(page);
      const sheet = (await page.textContent(".sheet")) ?? "";
      day.must("the last off is the first on", /Set part 2 in place/.test(sheet), sheet);
      day.mustNot("a bolt without a figure is tightened to one", /\d N·m/.test(sheet), sheet);

      const left = path.join(shop.folder, "white-van.toml");
      day.equal("the visit leaves a book, exit code 0", shop.run("visit", "book", visit, "--own-shelf", "--out", left).code, 0);
      const checked = day.run("book", "check", left);
      day.must("which is sound, with all that was seen", checked.code === 0 && checked.out.includes("2 parts, 3 fixings, 8 fasteners"), checked.out);
      const again = shop.run("visit", "new", "--book", left, "--store", day.store, "--name", "the white van again", "--letter", "B", "--seconds", day.seconds);
      day.equal("and the next visit is planned from it, exit code 0", again.code, 0);
    } finally {
      await shop.close();
    }
  },
};
