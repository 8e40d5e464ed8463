// The magnifier over a picture, what a scale card in it measures, and the picture with its rings on the way back.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { browser, picture, rested, settled, Shop, tick, TOUCH_SIZES } from "./shop.js";

/** @typedef {import("playwright-core").Page} Page */

/** The invented scene from straight above: px per mm, its sides, the card's corner, heads in the card's frame, mm. */
const SCENE = { scale: 5, width: 1600, height: 1200, card: [55, 8], heads: [[30, 165], [105, 158], [180, 165], [105, 190]] };

/** How near a ring has to come to its head, thousandths of the picture's side: 0.6 mm. */
const NEAR = 2;

/** @type {import("playwright-core").Browser} */
let chrome;
before(async () => { chrome = await browser(); });
after(async () => { await chrome.close(); });

/**
 * Draws the scene in the page's own canvas and hands it to the form as a camera would.
 * @param {Page} page
 * @param {boolean} hasCard
 */
async function takePicture(page, hasCard) {
  const base64 = await page.evaluate(async ([scene, hasCard]) => {
    const canvas = Object.assign(document.createElement("canvas"), { width: scene.width, height: scene.height });
    const pen = /** @type {CanvasRenderingContext2D} */ (canvas.getContext("2d"));
    pen.fillStyle = "#7c7c7c";
    pen.fillRect(0, 0, scene.width, scene.height);
    for (let at = 0; at < 4000; at += 1) {
      pen.fillStyle = `rgb(${[0, 1, 2].map(() => 105 + (at * 7919) % 45).join()})`;
      pen.fillRect((at * 104729) % scene.width, (at * 15485863) % scene.height, 22, 15);
    }
    const [left, top] = scene.card;
    if (hasCard) {
      const card = new Image();
      card.src = `data:image/svg+xml,${encodeURIComponent(await (await fetch("/scale-card.svg")).text())}`;
      await card.decode();
      pen.drawImage(card, left * scene.scale, top * scene.scale, 210 * scene.scale, 139 * scene.scale);
    }
    for (const [x, y] of scene.heads) {
      pen.beginPath();
      pen.arc((x + left) * scene.scale, (y + top) * scene.scale, 32, 0, 7);
      [pen.fillStyle, pen.strokeStyle, pen.lineWidth] = ["#4a4a4a", "#e0e0e0", 4];
      pen.fill();
      pen.stroke();
    }
    return canvas.toDataURL("image/png").split(",")[1];
  }, /** @type {const} */ ([SCENE, hasCard]));
  await page.setInputFiles(".tally input[type=file]", { name: "scene.png", mimeType: "image/png", buffer: Buffer.from(base64, "base64") });
  await page.waitForFunction(() => document.querySelector(".board.pictured [data-part=photo]:not([hidden])") !== null);
}

/** A finger on the glass of a device. */
class Finger {
  /**
   * @param {Page} page
   * @param {import("playwright-core").CDPSession} wire
   */
  constructor(page, wire) {
    this.page = page;
    this.wire = wire;
    this.x = 0;
    this.y = 0;
  }

  /** @param {Page} page */
  static async on(page) {
    return new Finger(page, await page.context().newCDPSession(page));
  }

  /**
   * @param {"touchStart" | "touchMove" | "touchEnd"} type
   * @param {{x: number, y: number, id: number}[]} touchPoints
   */
  async say(type, touchPoints) {
    await this.wire.send("Input.dispatchTouchEvent", { type, touchPoints });
  }

  /** @param {number} x @param {number} y */
  async down(x, y) {
    [this.x, this.y] = [x, y];
    await this.say("touchStart", [{ x, y, id: 0 }]);
  }

  /** @param {number} x @param {number} y */
  async move(x, y) {
    [this.x, this.y] = [x, y];
    await this.say("touchMove", [{ x, y, id: 0 }]);
  }

  async up() {
    await this.say("touchEnd", []);
  }

  /** Rests until the glass is open. */
  async opened() {
    await this.page.waitForFunction(() => document.querySelector(".glass:not([hidden])") !== null);
  }

  /**
   * Slides slowly until the cross-hair stands on a place of the picture, and looks a moment.
   * @param {{x: number, y: number}} to - in the window, px
   */
  async slideTo(to) {
    for (let at = 0; at < 200; at += 1) {
      const mark = await this.page.evaluate(() => {
        const box = /** @type {HTMLElement} */ (document.querySelector(".head.moving")).getBoundingClientRect();
        return { x: box.x + box.width / 2, y: box.y + box.height / 2 };
      });
      const [dx, dy] = [to.x - mark.x, to.y - mark.y];
      const far = Math.hypot(dx, dy);
      if (far < 0.4) {
        await this.page.waitForTimeout(400);
        return;
      }
      const by = Math.min(3, far * 3) / far;
      await this.page.waitForTimeout(30);
      await this.move(this.x + dx * by, this.y + dy * by);
    }
    assert.fail("the cross-hair does not come to the head");
  }
}

/**
 * Where heads lie in the window, px.
 * @param {Page} page
 */
async function headPlaces(page) {
  await page.evaluate(() => document.querySelector(".board")?.scrollIntoView({ block: "start" }));
  const box = await page.locator("[data-part=photo]").boundingBox();
  assert.ok(box);
  return SCENE.heads.map(([x, y]) => ({
    x: box.x + (x + SCENE.card[0]) * SCENE.scale / SCENE.width * box.width, y: box.y + (y + SCENE.card[1]) * SCENE.scale / SCENE.height * box.height,
  }));
}

/** Where they lie, thousandths. */
const headShares = () => SCENE.heads.map(([x, y]) => ({ across: (x + SCENE.card[0]) * SCENE.scale / SCENE.width * 1000, down: (y + SCENE.card[1]) * SCENE.scale / SCENE.height * 1000 }));

/**
 * Rings as the page keeps them.
 * @param {Page} page
 * @returns {Promise<{across: number, down: number, is_fine?: boolean}[]>}
 */
const rings = (page) => page.evaluate(() => JSON.parse(localStorage.getItem(`draft-${document.body.dataset.visit}`) ?? "{}").heads ?? []);

const isGlassOpen = (/** @type {Page} */ page) => page.evaluate(() => document.querySelector(".glass:not([hidden])") !== null);

/**
 * A device on the page of what comes off next, with the picture taken.
 * @param {Shop} shop
 * @param {object} size
 * @param {boolean} hasCard
 */
async function beginWithPicture(shop, size, hasCard) {
  await shop.start();
  const page = await shop.device(chrome, size, "phone");
  await page.goto(shop.at("/begin?book="));
  await page.fill("input[name=name]", "the grey van");
  await page.tap("button.main");
  await page.waitForURL(/\/v\/[^/]+\/next/);
  await settled(page);
  await takePicture(page, hasCard);
  return page;
}

/**
 * Presses beside a head and slides the cross-hair onto it.
 * @param {Finger} finger
 * @param {{x: number, y: number}} head
 */
async function setUnderGlass(finger, head) {
  await finger.down(head.x + 7, head.y + 9);
  await finger.opened();
  await finger.slideTo(head);
  await finger.up();
  await finger.page.waitForFunction(() => document.querySelector(".glass[hidden]") !== null);
}

for (const size of TOUCH_SIZES) {
  const { width, height } = size.viewport;
  test(`a ring is set, moved and left alone under the glass at ${width} × ${height}`, { timeout: 240_000 }, async () => {
    const shop = new Shop();
    try {
      const page = await beginWithPicture(shop, size, false);
      const finger = await Finger.on(page);
      const [first, second, third] = await headPlaces(page);
      // Set a new one.
      await finger.down(first.x + 8, first.y + 10);
      await finger.opened();
      await finger.slideTo(first);
      const glass = await page.locator(".glass").boundingBox();
      assert.ok(glass && glass.x >= 0 && glass.y >= 0 && glass.x + glass.width <= width && glass.y + glass.height <= height, JSON.stringify(glass));
      assert.ok(Math.hypot(glass.x + glass.width / 2 - finger.x, glass.y + glass.height / 2 - finger.y) > glass.width / 2 + 20, "the finger does not cover the glass");
      await picture(page, `glass-${width}`);
      await finger.up();
      const [share, other] = headShares();
      const near = (/** @type {{across: number, down: number}} */ ring, /** @type {{across: number, down: number}} */ head) =>
        Math.abs(ring.across - head.across) <= NEAR && Math.abs(ring.down - head.down) <= NEAR;
      let now = await rings(page);
      assert.equal(now.length, 1);
      assert.ok(now[0].is_fine && near(now[0], share), JSON.stringify([now, share]));
      assert.equal(await isGlassOpen(page), false);
      // A quick tap counts as ever, and is no measure.
      await page.waitForTimeout(300);
      await page.touchscreen.tap(second.x + 9, second.y + 6);
      await page.waitForFunction(() => document.querySelector("[data-part=count]")?.textContent === "2");
      assert.equal((await rings(page))[1].is_fine, undefined);
      assert.equal(await page.locator(".head.quick").count(), 1);
      // Its ring is moved.
      await finger.down(second.x + 14, second.y + 2);
      await finger.opened();
      await finger.slideTo(second);
      await finger.up();
      now = await rings(page);
      assert.equal(now.length, 2);
      assert.ok(now[1].is_fine && near(now[1], other), JSON.stringify([now, other]));
      // A slow tap that nobody looks at sets no fine ring; it is taken away again by a key.
      await page.waitForTimeout(300);
      await finger.down(third.x, third.y);
      await finger.opened();
      await finger.up();
      now = await rings(page);
      assert.deepEqual([now.length, now[2].is_fine], [3, undefined]);
      await page.focus(".head[data-at='2']");
      await page.keyboard.press("Delete");
      assert.equal((await rings(page)).length, 2);
      // Two fingers leave all as it was.
      const before = await rings(page);
      await finger.down(third.x, third.y);
      await finger.opened();
      await finger.say("touchStart", [{ x: third.x, y: third.y, id: 0 }, { x: third.x - 60, y: third.y, id: 1 }]);
      await page.waitForFunction(() => document.querySelector(".glass[hidden]") !== null);
      await finger.up();
      await page.waitForTimeout(400);
      assert.deepEqual(await rings(page), before);
      // Keys move a ring step by step, and show what lies beneath.
      await page.focus(".head[data-at='0']");
      await page.keyboard.press("ArrowRight");
      await page.keyboard.press("Shift+ArrowUp");
      now = await rings(page);
      assert.deepEqual([now[0].across - before[0].across, now[0].down - before[0].down], [1, -10]);
      assert.equal(await isGlassOpen(page), true);
      await page.keyboard.press("Escape");
      await page.evaluate(() => /** @type {HTMLElement} */ (document.activeElement).blur());
      assert.equal(await isGlassOpen(page), false);
      // A finger that moves at once scrolls the page, and sets nothing.
      const room = await page.evaluate(() => document.documentElement.scrollHeight - innerHeight - scrollY);
      if (room > 60) {
        const from = await page.evaluate(() => scrollY);
        await finger.down(third.x, third.y);
        for (let at = 1; at <= 8; at += 1) {
          await finger.move(third.x, third.y - at * 14);
        }
        await finger.up();
        await page.waitForFunction((from) => scrollY > from + 20, from);
        assert.equal((await rings(page)).length, 2);
      }
    } finally {
      await shop.close();
    }
  });
}

test("a card in the picture measures the rings, without a connection too, and the picture leads the way back", { timeout: 300_000 }, async () => {
  const shop = new Shop();
  try {
    const page = await beginWithPicture(shop, TOUCH_SIZES[0], true);
    const visit = await page.evaluate(() => document.body.dataset.visit ?? "");
    const finger = await Finger.on(page);
    await page.context().setOffline(true);
    for (const head of await headPlaces(page)) {
      await setUnderGlass(finger, head);
    }
    await page.tap("[data-part=heights] [data-word='0 to 4 mm']");
    await page.tap("[data-part=drives] [data-word='hexagon 10 mm']");
    await picture(page, "phone-glass-rings", true);
    await rested(page);
    await page.tap("[data-part=main]");
    await page.waitForFunction(() => document.querySelectorAll("[data-part=list] > li").length === 1);
    await page.context().setOffline(false);
    await page.waitForFunction(() => /measured/.test(document.querySelector("[data-part=list]")?.textContent ?? ""), null, { timeout: 60_000 });
    await page.waitForFunction(() => /measured, good to about [12] mm/.test(document.querySelector("[data-part=list]")?.textContent ?? ""), null, { timeout: 60_000 })
      .catch(async () => assert.fail(String(await page.textContent("[data-part=list]"))));
    await settled(page);
    await picture(page, "phone-glass-measured", true);
    // A second part, with quick taps and no card: nothing is measured, and nothing else changes.
    await takePicture(page, false);
    for (const head of await headPlaces(page)) {
      await page.waitForTimeout(300);
      await page.touchscreen.tap(head.x, head.y);
    }
    await page.tap("[data-part=drives] [data-word='hexagon 8 mm']");
    await rested(page);
    await page.tap("[data-part=main]");
    await page.waitForFunction(() => /not measured: no card in the picture/.test(document.querySelector("[data-part=list]")?.textContent ?? ""), null, { timeout: 60_000 });
    // The way back: the last off is the first on, on its picture.
    await page.tap("[data-part=plan-words]");
    await page.waitForURL(/\/bench/, { timeout: 120_000 });
    await settled(page);
    await tick(page);
    await settled(page);
    await picture(page, "phone-glass-back");
    await page.waitForSelector(".sheet .on-picture");
    assert.equal(await page.locator(".sheet .on-picture [data-hole]").count(), 4);
    assert.equal(await page.locator(".sheet .on-picture .next-hole").count(), 1);
    const href = await page.getAttribute(".sheet .on-picture image", "href");
    assert.match(String(href), /^\/picture\/[0-9a-f]{64}$/);
    const isLoaded = await page.evaluate((way) => new Promise((resolve) => {
      const image = new Image();
      [image.onload, image.onerror] = [() => resolve(image.naturalWidth), () => resolve(0)];
      image.src = way;
    }), String(href));
    assert.equal(isLoaded, SCENE.width);
    // The picture of the part that comes later is kept on the device beforehand.
    await page.waitForFunction(() => new Set(performance.getEntriesByType("resource").map((one) => new URL(one.name).pathname).filter((way) => way.startsWith("/picture/"))).size === 2);
    // A tap on a ring means what it means on a drawn sheet.
    await page.tap(".sheet .on-picture .next-hole");
    await page.waitForFunction(() => document.querySelector(".sheet .on-picture .had[data-state=finger-tight]") !== null);
    await page.waitForFunction(() => /^Other 3/.test(document.querySelector(".sheet .main")?.textContent ?? ""));
    await settled(page);
    await picture(page, "phone-glass-back-one");
    // The measured part has its places in the book that the visit leaves.
    const out = `${shop.folder}/grown.toml`;
    const { code, err } = shop.run("visit", "book", visit, "--own-shelf", "--out", out);
    assert.equal(code, 0, err);
    const { readFileSync } = await import("node:fs");
    const text = readFileSync(out, "utf8");
    assert.equal([...text.matchAll(/x = -?[\d.]+/g)].length, 4, text);
  } finally {
    await shop.close();
  }
});
