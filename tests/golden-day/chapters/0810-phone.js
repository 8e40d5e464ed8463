// The bench is served and a phone is paired.

import { open, see } from "../steps.js";

/** @type {import("../world.js").Chapter} */
export const chapter = {
  title: "A phone is paired",
  story: "The computer on the shelf serves the bench. The phone comes in by the code on its screen, and by nothing else.",
  async live(day) {
    const { shop } = day;
    await shop.start();
    const stranger = await day.stranger("phone");
    await stranger.goto(shop.at("/"));
    day.must("a stranger is led to the pairing", stranger.url().startsWith(shop.at("/enter")), stranger.url());
    await stranger.fill("input[name=code]", "WRONG123");
    await stranger.tap("button.main");
    await stranger.waitForSelector("[role=alert]");
    await stranger.goto(shop.at(`/v/${day.visit}/ledger`));
    day.mustNot("a wrong code lets a device in", (await stranger.textContent("h1")) === "Ledger");

    const code = shop.entry;
    await day.pair("phone");
    day.must("the phone is in and shows the visit", (await day.page("phone").textContent("main"))?.includes("the grey bus"));
    await stranger.goto(code);
    await stranger.fill("input[name=name]", "second phone");
    await stranger.tap("button.main");
    await stranger.waitForSelector("[role=alert]");
    day.mustNot("the same code lets a second device in", stranger.url() === shop.at("/"), stranger.url());
    await stranger.context().close();

    await open(day, "phone", "ready");
    await see(day, "phone", /Before you start/);
    day.must("the sheet before the start says go", (await day.page("phone").textContent("p.big")) === "Go");
    await day.picture("phone", "ready", true);
  },
};
