// A whole small job in a browser: strip, something happens, pause, the server dies, work goes on, the server is back,
// resume, refit, close; on a phone and on a tablet.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { browser, picture, rested, settled, Shop, SIZES, tick } from "./shop.js";

/** @type {import("playwright-core").Browser} */
let chrome;
before(async () => { chrome = await browser(); });
after(async () => { await chrome.close(); });

/**
 * Ticks until a sheet's sentence or heading fits.
 * @param {import("playwright-core").Page} page
 * @param {RegExp} until
 */
async function tickUntil(page, until) {
  const labels = [];
  for (let n = 0; n < 40; n += 1) {
    const text = await page.textContent(".sheet .sentence, h1");
    if (until.test(text ?? "")) {
      return labels;
    }
    labels.push(await tick(page));
  }
  assert.fail(`never came to ${until}: ${labels.join(" | ")}`);
}

for (const [size, name] of [[SIZES.phone, "phone"], [SIZES.tablet, "tablet"]]) {
  test(`a whole job on a ${name}`, { timeout: 180_000 }, async () => {
    const shop = new Shop();
    try {
      const visit = shop.begin();
      await shop.start();
      const page = await shop.device(chrome, /** @type {object} */ (size), String(name));
      await picture(page, `${name}-visits`);
      await page.goto(shop.at(`/v/${visit}/ready`));
      await picture(page, `${name}-ready`);

      await shop.open(page, visit, "bench");
      await picture(page, `${name}-bench-undo`);

      // Single holes, by a tap on the drawing, and back by undo.
      await page.click("[data-turn]");
      await page.locator("[data-hole]").first().click();
      await page.waitForFunction(() => document.querySelector("[data-hole]")?.getAttribute("data-state") === "off");
      await picture(page, `${name}-holes`);
      await settled(page);
      assert.match(shop.run("ledger").out, /1 line open/);
      await page.click("[data-undo]");
      await page.waitForFunction(() => document.querySelector("[data-hole]")?.getAttribute("data-state") === "in-place");
      await settled(page);
      assert.match(shop.run("ledger").out, /nothing is open/);

      // Something happens: two taps.
      await page.click("[data-open=happened]");
      await rested(page);
      await picture(page, `${name}-happened`);
      await rested(page);
      await page.click("#happened button:has-text('dropped and lost')");
      await settled(page);
      assert.match(shop.run("ledger").out, /LOST/);

      // The rest is planned anew in the background: searching comes first.
      await page.waitForFunction(() => /step1 of (9|1\d)/.test(document.querySelector(".title")?.textContent ?? ""), undefined, { timeout: 30_000 });
      await picture(page, `${name}-search`);
      for (let n = 0; n < 6 && !/All 4/.test((await page.textContent(".sheet .main")) ?? ""); n += 1) {
        await tick(page);
        await settled(page);
      }

      // All four off into their slot: one tap.
      assert.match(String(await tick(page)), /^All 4 off/);
      await settled(page);
      assert.match(shop.run("ledger").out, /cover bolts/);

      // The plug is pulled; the page goes on and says how much waits.
      await page.waitForTimeout(1500);
      await shop.kill();
      await tick(page);
      await page.waitForFunction(() => /waiting/.test(document.querySelector("#waiting-count")?.textContent ?? ""));
      await picture(page, `${name}-offline`);
      await tick(page);
      const waiting = await page.textContent("#waiting-count");
      assert.match(String(waiting), /waiting/);

      // Back again: everything arrives once, without a hand.
      await shop.start();
      await page.waitForFunction(() => document.querySelector("#waiting-count")?.textContent === "0", undefined, { timeout: 20_000 });
      await shop.open(page, visit, "bench");

      // Pause and resume, with a look at the last closed work.
      await shop.open(page, visit, "pause");
      await page.fill("textarea", "telephone");
      await picture(page, `${name}-pause`);
      await page.click("form button.main");
      await page.waitForSelector("text=Back at the bench");
      await picture(page, `${name}-resume`);
      await rested(page);
      await page.click("button.main:has-text('Resume')");
      await page.waitForURL(/bench/);
      await settled(page);

      // Refit to the end.
      await tickUntil(page, /Every step is done/);
      await shop.open(page, visit, "ledger");
      await picture(page, `${name}-ledger`);
      assert.equal(await page.locator("[data-ask=close]").count(), 0, "the lost item stands against closing");

      // The lost item is found; then the visit closes.
      await page.click("button:has-text('Found')");
      await page.waitForSelector("[data-ask=close]", { timeout: 15_000 });
      await rested(page);
      await page.click("[data-ask=close]");
      await page.fill("dialog input[name=name]", "test hand");
      await page.click("dialog form button");
      await page.waitForFunction(() => !document.querySelector("[data-ask=close]"));
      await settled(page);
      assert.match(shop.run("visit", "show").out, /closed and handed over/);
      assert.equal(shop.run("check-journal").code, 0);
    } finally {
      await shop.close();
    }
  });
}

test("two devices, one away: nothing is lost, nothing counts twice", { timeout: 120_000 }, async () => {
  const shop = new Shop();
  try {
    const visit = shop.begin();
    await shop.start();
    const one = await shop.device(chrome, SIZES.phone, "phone");
    const two = await shop.another(chrome, one, SIZES.tablet, "tablet");
    for (const page of [one, two]) {
      await shop.open(page, visit, "bench");
    }
    await one.context().setOffline(true);
    await tick(two);
    await settled(two);
    await one.click(".sheet .main");
    await one.waitForFunction(() => /\d waiting/.test(document.querySelector("#waiting-count")?.textContent ?? ""));
    await one.context().setOffline(false);
    await settled(one);
    const { out } = shop.run("ledger");
    assert.match(out, /fasteners out, back in/);
    assert.doesNotMatch(out, /TWO DEVICES DISAGREE/, "the same said twice is no conflict");
  } finally {
    await shop.close();
  }
});

test("a foreign page, a foreign name and a device without a key are refused", { timeout: 60_000 }, async () => {
  const shop = new Shop();
  try {
    const visit = shop.begin();
    await shop.start();
    const events = shop.at(`/v/${visit}/events`);
    const json = { "content-type": "application/json" };
    assert.equal((await fetch(events, { method: "POST", headers: { ...json, origin: shop.at("") }, body: "[]" })).status, 401);
    assert.equal((await fetch(events, { method: "POST", headers: { ...json, origin: "http://evil.example" }, body: "[]" })).status, 403);
    assert.equal((await fetch(events, { method: "POST", headers: json, body: "[]" })).status, 403);
    assert.equal((await fetch(shop.at("/"), { redirect: "manual" })).status, 303);
    const page = await chrome.newPage();
    const answer = await page.goto(`http://workshop.test:${shop.port}/`);
    assert.equal(answer?.status(), 421, "a name that is not ours");
    for (const way of ["/picture/../../etc/passwd", "/a/x/..%2f..%2fCargo.toml", "/a/x/../../Cargo.toml"]) {
      assert.ok([303, 404, 400].includes((await fetch(shop.at(way), { redirect: "manual" })).status), way);
    }
  } finally {
    await shop.close();
  }
});
