// A whole demo visit worked by touch, at three sizes: with double taps, a second device a moment later, a connection that goes and
// comes, and every kind of problem told. Whatever is written is what a button said that was meant, and nothing else.

import assert from "node:assert/strict";
import path from "node:path";
import { after, before, test } from "node:test";

import { browser, rested, root, settled, Shop, TOUCH_SIZES } from "./shop.js";

/** @typedef {import("playwright-core").Page} Page */

/** What a problem is called on its button. */
const PROBLEMS = ["dropped and lost", "seized", "broke off", "rounded off", "thread pulled", "not in the book", "wrong part", "part missing", "found like this"];

/** Most taps that the visit may need. */
const MAX_TAPS = 260;

/** @type {import("playwright-core").Browser} */
let chrome;
before(async () => { chrome = await browser(); });
after(async () => { await chrome.close(); });

/**
 * Listens to all that a device sends: what was written, once each.
 * @param {Page} page
 * @param {Map<string, string>} written - what each entry says, by its id
 */
function listen(page, written) {
  page.on("request", (request) => {
    if (request.method() === "POST" && request.url().endsWith("/events")) {
      const body = JSON.parse(request.postData() ?? "[]");
      for (const event of Array.isArray(body) ? body : body.events) {
        written.set(event.id, JSON.stringify(event.body));
      }
    }
  });
}

/** @param {Page} page @param {string} selector */
async function middle(page, selector) {
  await page.locator(selector).first().waitFor({ state: "visible" });
  const box = await page.locator(selector).first().boundingBox();
  assert.ok(box, selector);
  return { x: box.x + box.width / 2, y: box.y + box.height / 2 };
}

/** What the large button would write, and which sheet it stands on. @param {Page} page */
const shown = (page) => page.evaluate(() => {
  const main = /** @type {HTMLElement | null} */ (document.querySelector(".sheet .main"));
  const sheet = /** @type {HTMLElement | null} */ (document.querySelector(".sheet"));
  return { step: sheet?.dataset.step ?? null, says: main?.dataset.says ?? null, asks: main?.dataset.ask ?? null, label: main?.textContent ?? "", text: document.body.innerText };
});

/** Every message goes by a tap. @param {Page} page */
async function dismiss(page) {
  // Several may come one after the other: what was recorded, what a new plan changed.
  for (let n = 0; n < 12 && (await page.locator("#told > p").count()) > 0; n += 1) {
    await page.locator("#told > p").first().tap({ timeout: 2_000 }).catch(() => undefined);
    await page.waitForTimeout(150);
  }
  const left = await page.locator("#told > p").allTextContents();
  assert.deepEqual(left, [], "a message does not go by touch");
  assert.equal(await page.locator("dialog[open]").count(), 0, "something blocks the page");
}

/**
 * Waits until the rest has been planned anew, in the background and at leisure, and no other plan comes.
 * @param {Page} page
 */
async function planned(page) {
  let [plan, since] = ["", Date.now()];
  for (;;) {
    const now = await page.evaluate(() => document.body.dataset.plan ?? "");
    if (now !== plan) {
      [plan, since] = [now, Date.now()];
    } else if (Date.now() - since > 4_000) {
      return;
    }
    await page.waitForTimeout(200);
  }
}

/**
 * Tells a problem and takes it back: the plan goes round it, and then as before.
 * @param {Page} page
 * @param {string} words
 * @param {string[]} meant
 */
async function tellProblem(page, words, meant) {
  await rested(page);
  await page.tap("[data-open=happened]");
  const button = page.locator(`#happened button:text-is("${words}")`);
  const told = JSON.parse((await button.getAttribute("data-happened")) ?? "[]");
  await rested(page);
  await button.tap();
  await settled(page);
  await dismiss(page);
  meant.push(...told.map((/** @type {any} */ body) => JSON.stringify(body)));
  await planned(page);
  await settled(page);
  await page.tap("[data-undo]");
  await settled(page);
  await planned(page);
  await dismiss(page);
}

/** The first size in every run, all of them in the long one. */
const SIZES = process.env.TRAYWRIGHT_LONG === "1" ? TOUCH_SIZES : TOUCH_SIZES.slice(0, 1);

for (const size of SIZES) {
  const { width, height } = size.viewport;
  test(`a whole visit by touch at ${width} x ${height}`, { timeout: 900_000 }, async () => {
    const shop = new Shop();
    try {
      const { out } = shop.run("visit", "new", "--book", path.join(root, "demo/books/tern-24"), "--store", path.join(root, "demo/store"), "--name", "test bus", "--seconds", "5", "--task", "renew-thermostat");
      const visit = /id +(\S+)/.exec(out)?.[1] ?? "";
      await shop.start();
      const page = await shop.device(chrome, size, "first");
      const second = await shop.another(chrome, page, size, "second");
      /** @type {Map<string, string>} */
      const written = new Map();
      /** @type {string[]} */
      const meant = [];
      [page, second].forEach((one) => listen(one, written));
      // A form that is half filled in waits in another tab.
      const form = await page.context().newPage();
      await shop.open(form, visit, "tell");
      await form.tap("summary:has-text('Add a finding')");
      await form.fill("textarea[name=words]", "hose is cracked");
      await form.evaluate(() => { /** @type {HTMLElement} */ (document.activeElement)?.blur(); });
      await page.bringToFront();
      await shop.open(page, visit, "bench");
      await shop.open(second, visit, "bench");
      let asked = 0;
      const problems = [...PROBLEMS];
      for (let n = 1; n <= MAX_TAPS; n += 1) {
        await settled(page);
        await dismiss(page);
        const now = await shown(page);
        if (/Every step is done/.test(now.text)) {
          break;
        }
        assert.ok(n < MAX_TAPS, `the visit does not end: ${now.step} ${now.label}`);
        if (n % 4 === 0 && problems.length > 0) {
          await tellProblem(page, String(problems.shift()), meant);
          continue;
        }
        if (now.asks) {
          // No tool at hand, or a value not read: it is asked, and the answer stays with the tick.
          await page.tap(".sheet .main");
          for (const box of await page.locator("dialog[open] input").all()) {
            await box.fill("test hand");
          }
          await page.locator("dialog[open] form button").tap();
          asked += 1;
          await page.waitForFunction((step) => document.querySelector(".sheet") === null || document.querySelector(".sheet")?.getAttribute("data-step") !== step, now.step);
          continue;
        }
        assert.ok(now.says, `step ${now.step} cannot be ticked: ${now.label}\n${now.text}`);
        const at = await middle(page, ".sheet .main");
        const other = n % 5 === 0 ? await middle(second, ".sheet .main") : at;
        const isAway = n % 9 === 0;
        if (isAway) {
          await page.waitForTimeout(800);
          await page.context().setOffline(true);
        }
        await page.touchscreen.tap(at.x, at.y);
        if (n % 3 === 0) {
          await page.waitForTimeout(120);
          await page.touchscreen.tap(at.x, at.y);
        } else if (n % 5 === 0) {
          await second.waitForTimeout(100);
          await second.touchscreen.tap(other.x, other.y);
        }
        meant.push(...JSON.parse(now.says).map((/** @type {any} */ body) => JSON.stringify(body)));
        if (isAway) {
          await page.waitForTimeout(900);
          await page.context().setOffline(false);
        }
        await settled(page);
        const isOn = (/** @type {number} */ timeout) => page.waitForFunction(([step, says]) => {
          const main = /** @type {HTMLElement | null} */ (document.querySelector(".sheet .main"));
          return document.querySelector(".sheet") === null || document.querySelector(".sheet")?.getAttribute("data-step") !== step || main?.dataset.says !== says;
        }, [now.step, now.says], { timeout });
        // A tap on a button that rests, because the sheet changed in that moment, counts for nothing: a hand taps again.
        await isOn(6_000).catch(async () => {
          await settled(page);
          await page.touchscreen.tap(at.x, at.y);
          await isOn(30_000);
        });
        if (n % 5 === 4) {
          // The second device has to stand at the same sheet before the next tap that both make.
          await second.waitForFunction((step) => document.querySelector(".sheet") === null || document.querySelector(".sheet")?.getAttribute("data-step") === step, (await shown(page)).step);
          await rested(second);
        }
      }
      assert.deepEqual(problems, [], "every kind of problem was told");
      // What was written: what a meant button said, a problem, what takes it back, and the notes that were asked for.
      const wanted = new Set(meant);
      const strange = [...written.values()].filter((body) => !wanted.has(body) && JSON.parse(body).kind !== "undone" && !(asked > 0 && ["noted", "marked", "task"].includes(JSON.parse(body).kind)));
      assert.deepEqual(strange, [], "something was written that no meant tap says");
      const missing = [...wanted].filter((body) => ![...written.values()].includes(body));
      assert.deepEqual(missing, [], "a tap was lost");
      assert.equal([...written.values()].filter((body) => JSON.parse(body).kind === "undone").length, PROBLEMS.length, "each problem was taken back once");
      await form.bringToFront();
      assert.equal(await form.inputValue("textarea[name=words]"), "hose is cracked", "the form is lost");
      assert.equal(shop.run("check-journal").code, 0);
    } finally {
      await shop.close();
    }
  });
}
