// The events that this device has written and the server has not yet acknowledged.
//
// An event is in the drawer (on the device's disk) before the page shows it as done, and leaves it only when the server
// says that it is on the server's disk. Whatever dies in between, tab, browser or server, the event is sent again; the
// server counts it once by its id. What the server refuses of one visit holds up no other: it stays in the drawer, is shown
// as refused, and is sent again once a page is opened anew.

/**
 * What is kept of an event until it is acknowledged.
 * @typedef {{format: string, stream: {kind: "visit", id: string}, id: string, order: {round: number, device: string, count: number}, person?: string, at_ms: number, body: object}} Event
 */

/**
 * What the server says of one event.
 * @typedef {{verdict: "kept" | "known" | "aside", reason: string | null}} Sent
 */

/**
 * Where events lie until they are acknowledged; each call resolves when it is on the device's disk.
 * @typedef {object} Drawer
 * @property {() => Promise<Event[]>} all - everything, in the order of writing
 * @property {(event: Event, clock: Clock) => Promise<void>} put - adds an event and moves the clock, both or neither
 * @property {(ids: string[]) => Promise<void>} remove - takes acknowledged events out
 * @property {(visit: string) => Promise<Clock>} clock - the present count of the device
 */

/**
 * The device's own count in one visit.
 * @typedef {{visit: string, round: number, count: number}} Clock
 */

/**
 * Sends events of one visit; rejects with a `RefusedError` when the server refuses them, otherwise when it cannot be reached.
 * @typedef {(visit: string, events: Event[]) => Promise<Sent[]>} Post
 */

/**
 * Entries of one visit that the server refuses, with its reason.
 * @typedef {{visit: string, count: number, reason: string}} Refused
 */

/** The format word of all events. */
const FORMAT = "traywright-event/1";

/** Events sent in one go. */
const AT_ONCE = 200;

/** The server's answer that it was sent too much in one go. */
const TOO_LARGE = 413;

/** Answers about the device, the address or the moment: they say nothing of what was sent, which goes on waiting. */
const ABOUT_SOMETHING_ELSE = [401, 403, 407, 408, 421, 425, 429];

/** The server refuses what was sent, and will again. */
export class RefusedError extends Error {
  /**
   * @param {number} status
   * @param {string} reason - the server's own words
   */
  constructor(status, reason) {
    super(reason);
    this.status = status;
    this.reason = reason;
  }
}

/**
 * The error of an answer that acknowledges nothing.
 * @param {number} status
 * @param {string} reason - the server's own words; empty where it gave none
 * @returns {Error}
 */
export function errorOfAnswer(status, reason) {
  const words = reason.trim() === "" ? `The server answered with status ${status}.` : reason.trim();
  const isRefusal = status >= 400 && status < 500 && !ABOUT_SOMETHING_ELSE.includes(status);
  return isRefusal ? new RefusedError(status, words) : new Error(words);
}

/** Letters of the open ULID form: no I, L, O, U. */
const LETTERS = "0123456789ABCDEFGHJKMNPQRSTVWXYZ";

/**
 * A new id: 48 bits of time, 80 random bits, as 26 letters.
 * @param {number} now_ms
 * @param {Uint8Array} random - ten bytes
 * @returns {string}
 */
export function newId(now_ms, random) {
  let bits = BigInt(Math.max(0, Math.floor(now_ms)));
  for (const byte of random.subarray(0, 10)) {
    bits = (bits << 8n) | BigInt(byte);
  }
  let text = "";
  for (let i = 0; i < 26; i += 1) {
    text = LETTERS[Number(bits & 31n)] + text;
    bits >>= 5n;
  }
  return text;
}

/** Keeps, counts and sends this device's events. */
export class Outbox {
  /**
   * @param {string} device
   * @param {Drawer} drawer
   * @param {Post} post
   * @param {{now: () => number, random: () => Uint8Array, changed: (waiting: number, refused: Refused[]) => void, aside: (reason: string) => void, refused: (refused: Refused) => void}} world
   * @param {string} [person] - who answers for what this device writes
   */
  constructor(device, drawer, post, world, person) {
    this.device = device;
    this.person = person;
    this.drawer = drawer;
    this.post = post;
    this.world = world;
    /** @type {Promise<void> | null} */
    this.sending = null;
    /** @type {Promise<unknown>} */
    this.writing = Promise.resolve();
    /**
     * Why the server refuses a visit's entries, by visit.
     * @type {Map<string, string>}
     */
    this.reasons = new Map();
  }

  /**
   * Writes an event; resolves when it is on this device's disk.
   * @param {string} visit
   * @param {number} seen - the highest round that the page has seen
   * @param {object} body
   * @returns {Promise<Event>}
   */
  write(visit, seen, body) {
    const next = this.writing.then(() => this.writeNow(visit, seen, body));
    this.writing = next.catch(() => undefined);
    return next;
  }

  /**
   * @param {string} visit
   * @param {number} seen
   * @param {object} body
   * @returns {Promise<Event>}
   */
  async writeNow(visit, seen, body) {
    const clock = await this.drawer.clock(visit);
    clock.round = Math.max(clock.round, seen) + 1;
    clock.count += 1;
    const event = {
      format: FORMAT,
      stream: { kind: /** @type {const} */ ("visit"), id: visit },
      id: newId(this.world.now(), this.world.random()),
      order: { round: clock.round, device: this.device, count: clock.count },
      ...(this.person ? { person: this.person } : {}),
      at_ms: Math.floor(this.world.now()),
      body,
    };
    await this.drawer.put(event, clock);
    await this.waiting();
    return event;
  }

  /**
   * What waits to be sent, in the order of writing; reports how much that is and what is refused.
   * @returns {Promise<Event[]>}
   */
  async waiting() {
    const all = await this.drawer.all();
    const waiting = all.filter((event) => !this.reasons.has(event.stream.id));
    this.world.changed(waiting.length, this.refusedAmong(all));
    return waiting;
  }

  /**
   * @param {Event[]} all
   * @returns {Refused[]}
   */
  refusedAmong(all) {
    const refused = [...this.reasons].map(([visit, reason]) =>
      ({ visit, count: all.filter((event) => event.stream.id === visit).length, reason }));
    return refused.filter((one) => one.count > 0);
  }

  /**
   * Sends what waits; at most one sending at a time. Never rejects: what is not acknowledged stays.
   * @returns {Promise<void>}
   */
  send() {
    if (this.sending === null) {
      this.sending = this.sendAll().finally(() => {
        this.sending = null;
      });
    }
    return this.sending;
  }

  /** @returns {Promise<void>} */
  async sendAll() {
    let atOnce = AT_ONCE;
    for (;;) {
      const waiting = await this.waiting();
      if (waiting.length === 0) {
        return;
      }
      const visit = waiting[0].stream.id;
      const some = waiting.filter((event) => event.stream.id === visit).slice(0, atOnce);
      let results;
      try {
        results = await this.post(visit, some);
      } catch (error) {
        if (!(error instanceof RefusedError)) {
          return;
        }
        if (error.status === TOO_LARGE && some.length > 1) {
          atOnce = Math.ceil(some.length / 2);
        } else {
          await this.setRefused(visit, error.reason);
        }
        continue;
      }
      if (!Array.isArray(results) || results.length !== some.length) {
        return;
      }
      for (const sent of results) {
        if (sent.verdict === "aside") {
          this.world.aside(sent.reason ?? "");
        }
      }
      await this.drawer.remove(some.map((event) => event.id));
    }
  }

  /**
   * Leaves a visit's entries where they are and goes on with the others.
   * @param {string} visit
   * @param {string} reason
   */
  async setRefused(visit, reason) {
    this.reasons.set(visit, reason);
    this.refusedAmong(await this.drawer.all()).filter((one) => one.visit === visit).forEach((one) => this.world.refused(one));
  }
}
