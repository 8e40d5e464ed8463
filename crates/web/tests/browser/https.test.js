// Over HTTPS with the workshop's own certificate: the pages install, open without a connection, and go on.

import assert from "node:assert/strict";
import { createHash, X509Certificate } from "node:crypto";
import { readFileSync } from "node:fs";
import { test } from "node:test";

import { browser, picture, rested, settled, Shop, SIZES } from "./shop.js";

/** A browser that trusts the workshop's root and no other foreign one. */
function trusting(/** @type {Shop} */ shop) {
  const root = new X509Certificate(readFileSync(`${shop.journal}.certificates/workshop-root.crt`));
  const key = root.publicKey.export({ type: "spki", format: "der" });
  return browser(`--ignore-certificate-errors-spki-list=${createHash("sha256").update(key).digest("base64")}`);
}

test("over HTTPS the pages open without a connection and nothing is lost", { timeout: 180_000 }, async () => {
  const shop = new Shop({ https: true });
  /** @type {import("playwright-core").Browser | null} */
  let chrome = null;
  try {
    const visit = shop.begin();
    await shop.start();
    chrome = await trusting(shop);
    const page = await shop.device(chrome, SIZES.phone, "phone");
    assert.equal(await page.evaluate(() => isSecureContext), true);
    assert.equal((await page.evaluate(() => document.cookie)), "", "no script reads the key");
    await page.waitForFunction(() => navigator.serviceWorker.controller !== null);
    await page.goto(shop.at(`/v/${visit}/bench`));
    await settled(page);
    await page.waitForTimeout(1500);

    // The server is gone and the browser starts from nothing but what it keeps: first page, bench, the step after a tap.
    await shop.kill();
    const later = await page.context().newPage();
    await page.close();
    await later.goto(shop.at("/"));
    assert.equal(await later.textContent("h1"), "Visits");
    await later.goto(shop.at(`/v/${visit}/bench`));
    assert.match(String(await later.textContent(".sheet .main")), /^All 4 off/);
    await rested(later);
    await later.click(".sheet .main");
    await later.waitForFunction(() => /waiting/.test(document.querySelector("#waiting-count")?.textContent ?? ""));
    await later.waitForFunction(() => document.querySelector(".sheet")?.getAttribute("data-number") !== "1");
    await later.reload();
    await later.waitForFunction(() => document.querySelector(".sheet")?.getAttribute("data-number") !== "1");
    assert.match(String(await later.textContent("#waiting-count")), /waiting/, "what waits outlives the page");
    await picture(later, "phone-https-away");

    await shop.start();
    await later.waitForFunction(() => document.querySelector("#waiting-count")?.textContent === "0", undefined, { timeout: 20_000 });
    assert.match(shop.run("ledger").out, /cover bolts/);
    assert.equal(shop.run("check-journal").code, 0);
  } finally {
    await chrome?.close();
    await shop.close();
  }
});

test("a browser that does not trust the workshop's root is not let in unawares", { timeout: 60_000 }, async () => {
  const shop = new Shop({ https: true });
  const chrome = await browser();
  try {
    shop.begin();
    await shop.start();
    const page = await chrome.newPage();
    await assert.rejects(page.goto(shop.at("/")), /ERR_CERT_AUTHORITY_INVALID/);
  } finally {
    await chrome.close();
    await shop.close();
  }
});
