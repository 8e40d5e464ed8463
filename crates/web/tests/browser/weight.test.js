// The weight of the bench page as it goes over the network: page, style, script and drawing together, compressed.

import assert from "node:assert/strict";
import { test } from "node:test";
import http from "node:http";

import { Shop } from "./shop.js";

/** Most bytes of a whole bench page, compressed. */
const MOST_BYTES = 82_000;

/**
 * @param {string} address
 * @param {Record<string, string>} headers
 * @returns {Promise<{status: number, bytes: Buffer, headers: import("node:http").IncomingHttpHeaders}>}
 */
function get(address, headers, method = "GET", body = "") {
  return new Promise((resolve, reject) => {
    const request = http.request(address, { method, headers: { "accept-encoding": "br", ...headers } }, (answer) => {
      /** @type {Buffer[]} */
      const chunks = [];
      answer.on("data", (chunk) => chunks.push(chunk));
      answer.on("end", () => resolve({ status: answer.statusCode ?? 0, bytes: Buffer.concat(chunks), headers: answer.headers }));
    });
    request.on("error", reject);
    request.end(body);
  });
}

test("a whole bench page weighs at most 82 kB", { timeout: 120_000 }, async () => {
  const shop = new Shop();
  try {
    const visit = shop.begin("demo/books/tern-24");
    await shop.start();
    const code = shop.entry.split("code=")[1];
    const form = { "content-type": "application/x-www-form-urlencoded", origin: shop.at("") };
    const entered = await get(shop.at("/enter"), form, "POST", `code=${code}&name=scales`);
    const cookie = String(entered.headers["set-cookie"]).split(";")[0];
    // The heaviest step of the plan, with all that its page brings along.
    let way = "";
    let heaviest = 0;
    for (let step = 1; ; step += 1) {
      const answer = await get(shop.at(`/v/${visit}/bench?step=${step}`), { cookie });
      if (answer.status === 404) {
        break;
      }
      if (answer.bytes.length > heaviest) {
        [way, heaviest] = [`/v/${visit}/bench?step=${step}`, answer.bytes.length];
      }
    }
    const page = await get(shop.at(way), { cookie, "accept-encoding": "identity" });
    assert.equal(page.status, 200);
    const html = page.bytes.toString("utf8");
    assert.match(html, /<svg/, "the drawing is in the page");
    // What the page asks for, and what its script and style ask for in turn.
    const base = /\/a\/\w+\//.exec(html)?.[0] ?? "";
    const files = new Set([...html.matchAll(/\/a\/\w+\/([\w.-]+)/g)].map((found) => found[1]));
    for (const name of files) {
      const text = (await get(shop.at(base + name), { cookie, "accept-encoding": "identity" })).bytes.toString("latin1");
      if (/\.(js|css)$/.test(name)) {
        [...text.matchAll(/(?:from "\.\/|url\(")([\w.-]+)"/g)].forEach((found) => files.add(found[1]));
      }
    }
    assert.ok(["bench.css", "bench.js", "drawing.js", "outbox.js", "sheets.js", "letters-700.woff2"].every((name) => files.has(name)), [...files].join(" "));
    const table = [];
    for (const one of [way, ...[...files].map((name) => base + name)]) {
      const { status, bytes } = await get(shop.at(one), { cookie });
      assert.equal(status, 200, one);
      table.push({ way: one, bytes: bytes.length });
    }
    const letters = table.filter((row) => /woff2/.test(row.way)).reduce((sum, row) => sum + row.bytes, 0);
    const whole = table.reduce((sum, row) => sum + row.bytes, 0);
    console.log(`heaviest bench page ${way} ${whole} bytes compressed, ${letters} of them letters`);
    assert.ok(whole <= MOST_BYTES, JSON.stringify(table));
  } finally {
    await shop.close();
  }
});
