// Back from lunch: three looks at closed work, and on.

import { rested } from "../../../crates/web/tests/browser/shop.js";
import { open, see, stepOn, tap } from "../steps.js";

/** @type {import("../world.js").Chapter} */
export const chapter = {
  title: "Back at the bench",
  story: "The computer is on again. The phone is still paired; before it goes on, what was closed last is looked at once more, by another method.",
  async live(day) {
    await day.shop.start();
    await day.page("phone").goto(day.shop.at("/"));
    day.mustNot("the phone has to be paired again", (await day.page("phone").textContent("h1")) !== "Visits");
    await see(day, "phone", /Paused.*Half a bolt is still in hole 2/);
    await day.picture("phone", "work-rests", true);
    await day.page("phone").tap("a.main:has-text('Resume')");
    await see(day, "phone", /Look at these again, by a different method/);
    await open(day, "phone", "pause");
    const looks = () => day.page("phone").locator("ul.rows > li").count();
    const asked = await looks();
    day.equal("the last three closed steps are to be looked at", asked, 3);
    await day.picture("phone", "look-again", true);
    for (let look = 0; look < asked; look += 1) {
      await tap(day, "phone", "ul.rows > li button");
      await day.page("phone").waitForFunction((n) => [...document.querySelectorAll("ul.rows .where")].filter((where) => where.textContent === "looked at").length === n, look + 1);
    }
    day.mustNot("a look is left", /looks? left/.test((await day.page("phone").textContent("main")) ?? ""));
    await rested(day.page("phone"));
    await tap(day, "phone", "button.main:has-text('Resume')");
    await day.page("phone").waitForURL(/\/bench/);
    await open(day, "phone", "bench");
    day.equal("the step in hand is the one of before lunch", (await stepOn(day, "phone")).sentence, day.facts.get("in hand"));
    day.mustNot("the visit is still at rest", /^ +paused /m.test(day.runOnJournal("visit", "show", day.visit).out));
  },
};
