// The events that this device has written and the server has not yet acknowledged.
//
// An event is in the drawer (on the device's disk) before the page shows it as done, and leaves it only when the server
// says that it is on the server's disk. Whatever dies in between, tab, browser or server, the event is sent again; the
// server counts it once by its id.

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
 * Sends events of one visit; rejects when the server cannot be reached or refuses all of them.
 * @typedef {(visit: string, events: Event[]) => Promise<Sent[]>} Post
 */

/** The format word of all events. */
const FORMAT = "traywright-event/1";

/** Events sent in one go. */
const AT_ONCE = 200;

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
   * @param {{now: () => number, random: () => Uint8Array, changed: (waiting: number) => void, aside: (reason: string) => void}} world
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
    this.world.changed((await this.drawer.all()).length);
    return event;
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
    for (;;) {
      const waiting = await this.drawer.all();
      this.world.changed(waiting.length);
      if (waiting.length === 0) {
        return;
      }
      const visit = waiting[0].stream.id;
      const some = waiting.filter((event) => event.stream.id === visit).slice(0, AT_ONCE);
      let results;
      try {
        results = await this.post(visit, some);
      } catch {
        return;
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
}
