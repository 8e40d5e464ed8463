// What the steps do not say, two taps each: put in, tools, findings, one new fastener, counts, giving up; a decision between
// two devices, entries kept aside, and an address that leads nowhere.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { browser, picture, rested, settled, Shop, SIZES } from "./shop.js";

/** @type {import("playwright-core").Browser} */
let chrome;
before(async () => { chrome = await browser(); });
after(async () => { await chrome.close(); });

/**
 * @param {import("playwright-core").Page} page
 * @param {string} words
 */
async function shows(page, words) {
  await page.waitForSelector(`main >> text=${words}`, { state: "attached", timeout: 15_000 });
  await settled(page);
}

test("told besides the steps, two taps each", { timeout: 180_000 }, async () => {
  const shop = new Shop();
  try {
    const visit = shop.begin();
    await shop.start();
    const page = await shop.device(chrome, SIZES.phone, "phone");
    const open = (/** @type {string} */ sheet) => shop.open(page, visit, sheet);

    // A rag goes in and comes out.
    await open("tell");
    await picture(page, "phone-tell");
    await page.click("button:has-text('Rag in')");
    await shows(page, "It is out");
    assert.match(shop.run("ledger").out, /PUT IN, TO BE TAKEN OUT/);
    await page.click("button:has-text('It is out')");
    await page.waitForFunction(() => !/It is out/.test(document.querySelector("main")?.textContent ?? ""));
    await settled(page);
    assert.match(shop.run("ledger").out, /nothing is open/);

    // Tools: onto the cart, lent, back.
    await page.click("button:has-text('All other')");
    await shows(page, "Back in its place");
    await page.click("button:has-text('Lent')");
    await page.fill("dialog input[name=whom]", "neighbour");
    await page.click("dialog button:has-text('Write it down')");
    await shows(page, "lent to neighbour");
    assert.match(shop.run("ledger").out, /TOOLS LENT/);
    while ((await page.locator("button:has-text('Back in its place')").count()) > 0) {
      const before = await page.locator("button:has-text('Back in its place')").count();
      await page.locator("button:has-text('Back in its place')").first().click();
      await page.waitForFunction((n) => [...document.querySelectorAll("button")].filter((b) => b.textContent === "Back in its place").length < n, before);
      await settled(page);
    }
    assert.match(shop.run("ledger").out, /nothing is open/);

    // A finding for the owner, and the owner's word.
    await page.click("summary:has-text('Add a finding')");
    await page.fill("textarea[name=words]", "hose is cracked at its end");
    await page.fill("input[name=from]", "12,50");
    await page.click("button:has-text('Save the finding')");
    await shows(page, "12.50");
    assert.match(shop.run("ledger").out, /OWNER TO DECIDE/);
    await page.click("button:has-text('Do it')");
    await page.click("dialog button:has-text('Write it down')");
    await shows(page, "owner, by word");
    await settled(page);
    assert.match(shop.run("ledger").out, /the owner wants it done/);
    await page.click("button:has-text('It is put right')");
    await page.fill("dialog input[name=how]", "new hose");
    await page.click("dialog button:has-text('Write it down')");
    await shows(page, "new hose");
    await settled(page);
    assert.match(shop.run("ledger").out, /nothing is open/);

    // The four bolts come off; one is renewed alone; what lies in the tray is counted.
    await open("bench");
    await page.click(".sheet .main");
    await page.waitForFunction(() => document.querySelector(".sheet")?.getAttribute("data-number") !== "1");
    await settled(page);
    await open("trays");
    await picture(page, "phone-trays");
    await page.click("button:has-text('4 counted, correct')");
    await shows(page, "Counted:");
    await open("tell");
    await page.click("summary:has-text('cover bolts, 4 out')");
    await page.click("button:has-text('1 is new')");
    await shows(page, "cover bolts, 3 out");
    await open("trays");
    await page.click("button:has-text('Count again')");
    await page.fill("dialog input[name=counted]", "2");
    await page.click("dialog button:has-text('Write it down')");
    await page.waitForFunction(() => /Counted: 2 of 4/.test(document.querySelector("main")?.textContent ?? ""));
    await settled(page);
    assert.match(shop.run("ledger").out, /COUNT DOES NOT AGREE/);

    // Lost and not found: somebody takes responsibility for going on.
    await open("bench");
    await settled(page);
    await rested(page);
    await page.click("[data-open=happened]");
    // Longer than a button rests after a change that arrives now.
    await page.waitForTimeout(900);
    await rested(page);
    await page.click("#happened button:has-text('dropped and lost')");
    await settled(page);
    await open("ledger");
    await page.click("button:has-text('Not found: carry on, signed')");
    await page.fill("dialog input[name=searched]", "under the cover, with mirror and magnet");
    await page.fill("dialog input[name=name]", "test hand");
    await page.click("dialog button:has-text('Write it down')");
    await page.waitForFunction(() => !/Not found: carry on, signed/.test(document.querySelector("main")?.textContent ?? ""));
    await settled(page);
    assert.equal(shop.run("check-journal").code, 0);
  } finally {
    await shop.close();
  }
});

test("two devices disagree about a fastener: both are shown, a person decides", { timeout: 120_000 }, async () => {
  const shop = new Shop();
  try {
    const visit = shop.begin();
    await shop.start();
    const one = await shop.device(chrome, SIZES.phone, "phone");
    const two = await shop.another(chrome, one, SIZES.tablet, "tablet");
    const hole = (/** @type {import("playwright-core").Page} */ page, /** @type {string} */ name) => page.locator(`[data-hole="${name}"]`).first();
    for (const page of [one, two]) {
      await shop.open(page, visit, "bench");
      await page.click("[data-turn]");
    }
    // The phone is away: bolt 2 off and back, then bolt 1 off. Meanwhile bolt 1 breaks for whoever holds the tablet.
    await one.context().setOffline(true);
    for (const [name, state] of [["2", "off"], ["2", "in-place"], ["1", "off"]]) {
      await hole(one, String(name)).click();
      await one.waitForFunction(([n, s]) => document.querySelector(`[data-hole="${n}"]`)?.getAttribute("data-state") === s, [name, state]);
    }
    await one.waitForFunction(() => /3 waiting/.test(document.querySelector("#waiting-count")?.textContent ?? ""));
    await hole(two, "1").click();
    await two.waitForFunction(() => document.querySelector('[data-hole="1"]')?.getAttribute("data-state") === "off");
    await settled(two);
    await rested(two);
    await two.click("[data-open=happened]");
    await rested(two);
    await two.click('#happened [data-names]:text-is("1")');
    await rested(two);
    await two.click("#happened button:has-text('broke off')");
    await settled(two);
    assert.doesNotMatch(shop.run("ledger").out, /TWO DEVICES DISAGREE/);
    await one.context().setOffline(false);
    await settled(one);
    assert.match(shop.run("ledger").out, /TWO DEVICES DISAGREE/);

    // Both are told, and see both claims under the names of the devices.
    await two.waitForSelector("text=Two devices disagree about 1 fastener", { timeout: 15_000 });
    for (const page of [one, two]) {
      await shop.open(page, visit, "ledger");
      const text = (await page.textContent("#differ")) ?? "";
      assert.match(text, /tablet says: broken/);
      assert.match(text, /phone says: off/);
    }
    await picture(one, "phone-differ");
    await picture(two, "tablet-differ");
    await one.click("#differ button:has-text('It is off')");
    await one.waitForFunction(() => !document.querySelector("#differ"));
    await settled(one);
    assert.doesNotMatch(shop.run("ledger").out, /TWO DEVICES DISAGREE/);
    await two.waitForFunction(() => !document.querySelector("#differ"));
  } finally {
    await shop.close();
  }
});

test("what cannot be taken is kept aside and seen to; an address that leads nowhere says so", { timeout: 60_000 }, async () => {
  const shop = new Shop();
  try {
    const visit = shop.begin();
    await shop.start();
    const page = await shop.device(chrome, SIZES.phone, "phone");
    await page.evaluate((way) => fetch(way, { method: "POST", headers: { "content-type": "application/json" }, body: '[{"so": 1}]' }), shop.at(`/v/${visit}/events`));
    await page.reload();
    await page.click("text=kept aside for someone to look at");
    assert.match((await page.textContent("main")) ?? "", /from phone/);
    await picture(page, "phone-aside");
    await page.click("button:has-text('Mark as dealt with')");
    await page.waitForSelector("text=Dealt with.");
    await page.goto(shop.at("/"));
    assert.doesNotMatch((await page.textContent("main")) ?? "", /kept aside/);
    for (const way of ["/nowhere", "/v/none/bench", `/v/${visit}/bench?step=99`]) {
      const answer = await page.goto(shop.at(way));
      assert.equal(answer?.status(), 404, way);
      assert.equal(await page.textContent("h1"), "Not found");
    }
    await picture(page, "phone-not-there");
    await page.click("a:has-text('All visits')");
    await page.waitForSelector("h1:has-text('Visits')");
  } finally {
    await shop.close();
  }
});
