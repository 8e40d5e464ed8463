// The outbox: nothing is lost, nothing is sent twice once acknowledged, whatever fails in between.

import assert from "node:assert/strict";
import { test } from "node:test";

import { errorOfAnswer, HeldUpError, newId, Outbox, RefusedError } from "../../assets/outbox.js";

/** A drawer in memory with the promises of the real one. */
function memory() {
  /** @type {any[]} */
  const events = [];
  const clocks = new Map();
  return {
    events,
    all: async () => [...events],
    append: async (/** @type {string} */ visit, /** @type {(clock: any) => any[]} */ make) => {
      const clock = { ...(clocks.get(visit) ?? { visit, round: 0, count: 0 }) };
      const made = make(clock);
      events.push(...made);
      clocks.set(visit, clock);
      return made;
    },
    put: async (/** @type {any[]} */ more) => {
      events.push(...more.filter((event) => !events.some((known) => known.id === event.id)));
    },
    /** @type {Map<string, {place: number, event: any}>} */
    kept: new Map(),
    /** @type {Map<string, object | null>} */
    journals: new Map(),
    contact: async function (/** @type {string} */ visit) {
      return { known: this.journals.get(visit) ?? null, written: clocks.get(visit)?.count ?? 0 };
    },
    settle: async function (/** @type {string} */ visit, /** @type {any} */ change) {
      const places = new Map(change.kept.map((/** @type {any} */ one) => [one.id, one.place]));
      for (const [id, { place, event }] of [...this.kept]) {
        const isAsked = change.again.some((/** @type {number[]} */ [from, to]) => from <= event.order.count && event.order.count <= to);
        if ((!change.agrees || isAsked) && !places.has(id) && !change.resent.has(id)) {
          events.push(event);
          this.kept.delete(id);
        } else if (change.agrees && place <= change.safe && !places.has(id)) {
          this.kept.delete(id);
        }
      }
      for (const event of [...events]) {
        const place = places.get(event.id);
        if (place !== undefined && Number(place) > (change.agrees ? change.safe : 0)) {
          this.kept.set(event.id, { place: Number(place), event });
        }
        if (place !== undefined || change.gone.includes(event.id)) {
          events.splice(events.indexOf(event), 1);
        }
      }
      this.journals.set(visit, change.journal);
    },
    remove: async (/** @type {string[]} */ ids) => {
      for (const id of ids) {
        const at = events.findIndex((event) => event.id === id);
        if (at >= 0) events.splice(at, 1);
      }
    },
  };
}

/**
 * An answer of a server that has seen nothing else.
 * @param {any[]} sent
 * @param {object} [more]
 */
const answer = (sent, more = {}) => ({ sent, journal: null, agrees: true, words: null, again: [], safe: 0, ...more });

function world() {
  let count = 0;
  /** @type {number[]} */
  const waiting = [];
  /** @type {string[]} */
  const reasons = [];
  /** @type {import("../../assets/outbox.js").Refused[]} */
  const told = [];
  /** @type {import("../../assets/outbox.js").Refused[][]} */
  const shown = [];
  /** @type {(import("../../assets/outbox.js").HoldUp | null)[]} */
  const holdUps = [];
  return {
    waiting,
    reasons,
    told,
    shown,
    holdUps,
    now: () => 1_700_000_000_000 + count,
    random: () => {
      count += 1;
      return new Uint8Array(10).fill(count);
    },
    changed: (/** @type {number} */ n, /** @type {import("../../assets/outbox.js").Refused[]} */ refused,
      /** @type {import("../../assets/outbox.js").HoldUp | null} */ holdUp) => {
      waiting.push(n);
      shown.push(refused);
      holdUps.push(holdUp);
    },
    aside: (/** @type {string} */ reason) => reasons.push(reason),
    refused: (/** @type {import("../../assets/outbox.js").Refused} */ refused) => told.push(refused),
  };
}

test("an id is 26 letters that sort by time", () => {
  // The open ULID form's own example of its time part: 1469918176385 is 01ARYZ6S41.
  assert.equal(newId(1_469_918_176_385, new Uint8Array(10)), "01ARYZ6S41" + "0".repeat(16));
  assert.equal(newId(0, new Uint8Array(10).fill(255)), "0".repeat(10) + "Z".repeat(16));
  assert.ok(newId(1, new Uint8Array(10)) < newId(2, new Uint8Array(10)));
});

test("events count on from what the page has seen, also when written at once", async () => {
  const drawer = memory();
  const outbox = new Outbox("tablet", drawer, async () => answer([]), world());
  await Promise.all([outbox.write("A", 7, [{ n: 1 }]), outbox.write("A", 7, [{ n: 2 }]), outbox.write("B", 0, [{ n: 3 }])]);
  await outbox.write("A", 20, [{ n: 4 }]);
  const orders = drawer.events.map((event) => [event.stream.id, event.order.round, event.order.count]);
  assert.deepEqual(orders, [["A", 8, 1], ["A", 9, 2], ["B", 1, 1], ["A", 21, 3]]);
  assert.equal(new Set(drawer.events.map((event) => event.id)).size, 4);
});

test("what is not acknowledged stays and is sent again", async () => {
  const drawer = memory();
  let fails = 2;
  /** @type {string[][]} */
  const sent = [];
  const outbox = new Outbox("tablet", drawer, async (_visit, events) => {
    sent.push(events.map((event) => event.id));
    if (fails-- > 0) throw new Error("no connection");
    return answer(events.map(() => ({ verdict: "kept", reason: null })));
  }, world());
  await outbox.write("A", 0, [{ n: 1 }]);
  await outbox.send();
  await outbox.send();
  assert.equal(drawer.events.length, 1);
  await outbox.write("A", 0, [{ n: 2 }]);
  await outbox.send();
  assert.equal(drawer.events.length, 0);
  assert.deepEqual(sent[2], [sent[0][0], sent[2][1]]);
});

test("an answer that does not fit the question acknowledges nothing", async () => {
  const drawer = memory();
  const outbox = new Outbox("tablet", drawer, async () => answer([]), world());
  await outbox.write("A", 0, [{}]);
  await outbox.send();
  assert.equal(drawer.events.length, 1);
});

test("what the server keeps aside is told, and not sent for ever", async () => {
  const drawer = memory();
  const around = world();
  const outbox = new Outbox("tablet", drawer, async (_visit, events) =>
    answer(events.map(() => ({ verdict: "aside", reason: "it cannot be read" }))), around);
  await outbox.write("A", 0, [{}]);
  await outbox.send();
  assert.deepEqual([drawer.events.length, around.reasons], [0, ["it cannot be read"]]);
  assert.equal(around.waiting.at(-1), 0);
});

test("two sendings at once are one", async () => {
  const drawer = memory();
  let posts = 0;
  const outbox = new Outbox("tablet", drawer, async (_visit, events) => {
    posts += 1;
    await new Promise((resolve) => setTimeout(resolve, 5));
    return answer(events.map(() => ({ verdict: "kept", reason: null })));
  }, world());
  await outbox.write("A", 0, [{}]);
  await Promise.all([outbox.send(), outbox.send(), outbox.send()]);
  assert.equal(posts, 1);
});

test("many events of two visits all arrive, each visit's in order", async () => {
  const drawer = memory();
  /** @type {Record<string, number[]>} */
  const arrived = { A: [], B: [] };
  const outbox = new Outbox("tablet", drawer, async (visit, events) => {
    arrived[visit].push(...events.map((event) => event.order.count));
    return answer(events.map(() => ({ verdict: "kept", reason: null })));
  }, world());
  for (let n = 0; n < 500; n += 1) await outbox.write(n % 2 ? "A" : "B", 0, [{ n }]);
  await outbox.send();
  const counted = Array.from({ length: 250 }, (_, i) => i + 1);
  assert.deepEqual(arrived, { A: counted, B: counted });
});

test("a visit that the server refuses holds up no other; its entries stay, shown with the reason", async () => {
  const drawer = memory();
  const around = world();
  /** @type {string[]} */
  const asked = [];
  const outbox = new Outbox("tablet", drawer, async (visit, events) => {
    asked.push(visit);
    if (visit === "A") throw errorOfAnswer(404, "There is no such visit.");
    return answer(events.map(() => ({ verdict: "kept", reason: null })));
  }, around);
  await outbox.write("A", 0, [{ n: 1 }]);
  await outbox.write("B", 0, [{ n: 2 }]);
  await outbox.write("A", 0, [{ n: 3 }]);
  await outbox.send();
  assert.deepEqual(drawer.events.map((event) => event.body.n), [1, 3], "what is refused is kept, in order");
  const refused = { visit: "A", count: 2, reason: "There is no such visit." };
  assert.deepEqual([around.told, around.shown.at(-1), around.waiting.at(-1)], [[refused], [refused], 0]);

  await outbox.write("A", 0, [{ n: 4 }]);
  await outbox.write("B", 0, [{ n: 5 }]);
  await outbox.send();
  assert.deepEqual(asked, ["A", "B", "B"], "a refused visit is not asked again while the page is open");
  assert.deepEqual(drawer.events.map((event) => event.body.n), [1, 3, 4]);
  assert.deepEqual([around.told.length, around.shown.at(-1)], [1, [{ ...refused, count: 3 }]]);

  /** @type {number[]} */
  const arrived = [];
  const anew = new Outbox("tablet", drawer, async (_visit, events) => {
    arrived.push(...events.map((event) => /** @type {any} */ (event.body).n));
    return answer(events.map(() => ({ verdict: "kept", reason: null })));
  }, world());
  await anew.send();
  assert.deepEqual([arrived, drawer.events], [[1, 3, 4], []], "a page that is opened anew sends them again");
});

test("an answer about the device or the moment refuses no visit: all of it goes on waiting", async () => {
  for (const status of [401, 403, 408, 421, 429, 500, 503]) {
    assert.ok(!(errorOfAnswer(status, "") instanceof RefusedError), String(status));
    const drawer = memory();
    const around = world();
    const outbox = new Outbox("tablet", drawer, async () => { throw errorOfAnswer(status, "Not paired."); }, around);
    await outbox.write("A", 0, [{}]);
    await outbox.send();
    assert.deepEqual([drawer.events.length, around.waiting.at(-1), around.told], [1, 1, []], String(status));
  }
  for (const status of [400, 404, 409, 413, 415, 422]) {
    const error = errorOfAnswer(status, " ");
    assert.ok(error instanceof RefusedError && error.reason.includes(String(status)), String(status));
  }
});

test("what is too much in one go is sent in smaller lots, and only what is too large alone is refused", async () => {
  const drawer = memory();
  const around = world();
  /** @type {number[]} */
  const arrived = [];
  const outbox = new Outbox("tablet", drawer, async (visit, events) => {
    if (events.length > 3 || visit === "B") throw errorOfAnswer(413, "Too large.");
    arrived.push(...events.map((event) => event.order.count));
    return answer(events.map(() => ({ verdict: "kept", reason: null })));
  }, around);
  for (let n = 0; n < 10; n += 1) await outbox.write("A", 0, [{ n }]);
  await outbox.write("B", 0, [{}]);
  await outbox.send();
  assert.deepEqual(arrived, [1, 2, 3, 4, 5, 6, 7, 8, 9, 10]);
  assert.deepEqual(around.told, [{ visit: "B", count: 1, reason: "Too large." }]);
  assert.deepEqual(drawer.events.map((event) => event.stream.id), ["B"]);
});

test("the entries of one tap are written together or not at all", async () => {
  const drawer = memory();
  const outbox = new Outbox("tablet", drawer, async () => answer([]), world());
  const made = await outbox.write("A", 3, [{ n: 1 }, { n: 2 }]);
  assert.deepEqual(made.map((event) => [event.order.round, event.order.count]), [[4, 1], [5, 2]]);
  const full = { ...drawer, append: async () => { throw new DOMException("no room", "QuotaExceededError"); } };
  const stuck = new Outbox("tablet", full, async () => answer([]), world());
  await assert.rejects(stuck.write("A", 3, [{ n: 3 }, { n: 4 }]), { name: "QuotaExceededError" });
  assert.equal(drawer.events.length, 2, "nothing of a tap that finds no room is kept");
  // The next tap is written as if that one had not been.
  const next = await outbox.write("A", 0, [{ n: 5 }]);
  assert.equal(next[0].order.count, 3);
});

test("why nothing is sent is said, and said no more once it is", async () => {
  const drawer = memory();
  const around = world();
  /** @type {unknown[]} */
  const answers = [new TypeError("failed to fetch"), new DOMException("aborted", "AbortError"), errorOfAnswer(401, "Not paired."),
    errorOfAnswer(421, "Not the name."), errorOfAnswer(503, "The disk is full."), "short"];
  const outbox = new Outbox("tablet", drawer, async (_visit, events) => {
    const next = answers.shift();
    if (next instanceof Error || next instanceof DOMException) throw next;
    return answer(next === "short" ? [] : events.map(() => ({ verdict: "kept", reason: null })));
  }, around);
  await outbox.write("A", 0, [{}]);
  for (const kind of ["away", "slow", "unpaired", "name", "server", "server"]) {
    await outbox.send();
    assert.equal(around.holdUps.at(-1)?.kind, kind);
    assert.equal(drawer.events.length, 1, "it goes on waiting");
  }
  await outbox.send();
  assert.deepEqual([drawer.events.length, around.holdUps.at(-1), outbox.holdUp], [0, null, null]);
  assert.ok(errorOfAnswer(401, "") instanceof HeldUpError);
});

/** A journal with the promises of the server's contract. */
function journal() {
  /** @type {any[]} */
  let entries = [];
  let safe = 0;
  return {
    get entries() { return entries; },
    set safe(/** @type {number} */ place) { safe = place; },
    /** Puts an older state in the place of what is there. @param {number} length */
    restore: (length) => { entries = entries.slice(0, length); safe = 0; },
    post: async (/** @type {string} */ _visit, /** @type {any[]} */ events, /** @type {any} */ contact) => {
      const agrees = contact.known === null || contact.known.count <= entries.length;
      const sent = events.map((event) => {
        const at = entries.findIndex((known) => known.id === event.id);
        if (at < 0) entries.push(event);
        return { verdict: at < 0 ? "kept" : "known", reason: null, place: at < 0 ? entries.length : at + 1 };
      });
      const has = new Set(entries.map((event) => event.order.count));
      const lacks = Array.from({ length: contact.written }, (_, i) => i + 1).filter((count) => !has.has(count));
      return answer(sent, { journal: { count: entries.length }, agrees, words: agrees ? null : "The journal is shorter than it was.", again: lacks.map((count) => [count, count]), safe });
    },
  };
}

test("what is acknowledged waits no more, stays until a backup has it, and comes back to a journal that was restored", async () => {
  const drawer = memory();
  const server = journal();
  const around = world();
  /** @type {string[]} */
  const words = [];
  const outbox = new Outbox("tablet", drawer, server.post, { ...around, disagrees: (_visit, said) => words.push(said) });
  await outbox.write("A", 0, [{ n: 1 }, { n: 2 }, { n: 3 }, { n: 4 }]);
  await outbox.send();
  assert.deepEqual([server.entries.length, drawer.events.length, drawer.kept.size, around.waiting.at(-1)], [4, 0, 4, 0]);

  server.safe = 2;
  await outbox.touch("A");
  assert.equal(drawer.kept.size, 2, "what a backup holds is forgotten");

  server.restore(2);
  await outbox.touch("A");
  assert.deepEqual(server.entries.map((event) => event.body.n), [1, 2, 3, 4], "the journal has it all again");
  assert.deepEqual(words, ["The journal is shorter than it was."]);
  assert.deepEqual([drawer.events.length, drawer.kept.size], [0, 2]);
});

test("an entry that the journal asks for again is sent again once, and what the device has not makes no loop", async () => {
  const drawer = memory();
  let posts = 0;
  const outbox = new Outbox("tablet", drawer, async (_visit, events) => {
    posts += 1;
    return answer(events.map((_event, at) => ({ verdict: "known", reason: null, place: at + 1 })), { journal: { count: 9 }, again: [[1, 99]] });
  }, world());
  await outbox.write("A", 0, [{ n: 1 }]);
  await outbox.send();
  assert.ok(posts <= 2, `${posts} posts`);
  await outbox.touch("A");
  assert.ok(posts <= 5, `${posts} posts`);
  assert.deepEqual([drawer.events.length, drawer.kept.size], [0, 1], "it waits no more, whatever the server says of it");
});
