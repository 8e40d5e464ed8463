// The events that this device has written and the server has not yet acknowledged.
//
// An event is in the drawer (on the device's disk) before the page shows it as done, and leaves it only when the server
// says that it is on the server's disk. Whatever dies in between, tab, browser or server, the event is sent again; the
// server counts it once by its id. What the server refuses of one visit holds up no other: it stays in the drawer, is shown
// as refused, and is sent again once a page is opened anew.
//
// What is acknowledged waits no more, and stays on the device until the server says that a checked backup holds it: a journal that
// was restored from an older state gets it back. At each contact the device says how the journal stood when it was last answered.

/**
 * What is kept of an event until it is acknowledged.
 * @typedef {{format: string, stream: {kind: "visit", id: string}, id: string, order: {round: number, device: string, count: number}, person?: string, at_ms: number, body: object}} Event
 */

/**
 * What the server says of one event; `place` is where it stands in the journal.
 * @typedef {{verdict: "kept" | "known" | "aside", reason: string | null, place?: number | null}} Sent
 */

/**
 * What a device says of itself at each contact: the server's last word on the journal as it came, and its own highest count.
 * @typedef {{known: object | null, written: number}} Contact
 */

/**
 * The server's answer: `again` are own counts that the journal does not have, `safe` is the last place that a backup holds.
 * @typedef {{sent: Sent[], journal: object | null, agrees: boolean, words: string | null, again: [number, number][], safe: number}} Answer
 */

/**
 * What an answer changes on the device: entries that are kept at a place or set aside wait no more, those that the journal lacks wait
 * again, those that are safe are forgotten.
 * @typedef {{kept: {id: string, place: number}[], gone: string[], journal: object | null, agrees: boolean, again: [number, number][], safe: number, resent: Set<string>}} Settlement
 */

/**
 * Where events lie until they are acknowledged; each call resolves when it is on the device's disk.
 * @typedef {object} Drawer
 * @property {() => Promise<Event[]>} all - everything, in the order of writing
 * @property {(visit: string, make: (clock: Clock) => Event[]) => Promise<Event[]>} append - adds the events that are made of the present
 *   count, and keeps the count that they leave; all or nothing, also while another tab does the same
 * @property {(events: Event[]) => Promise<void>} put - adds events that were made elsewhere; those that are there stay
 * @property {(ids: string[]) => Promise<void>} remove - takes events out that need not be kept
 * @property {(visit: string) => Promise<Contact>} contact - what is said of this device at the next contact
 * @property {(visit: string, settlement: Settlement) => Promise<void>} settle - does what an answer changes, all or nothing
 */

/**
 * The device's own count in one visit.
 * @typedef {{visit: string, round: number, count: number}} Clock
 */

/**
 * Sends events of one visit; rejects with a `RefusedError` when the server refuses them, otherwise when it cannot be reached.
 * @typedef {(visit: string, events: Event[], contact: Contact) => Promise<Answer>} Post
 */

/**
 * Why what waits is not sent: `away` no answer, `slow` no answer in time, `unpaired`, `name` another address, `server` its own trouble.
 * @typedef {{kind: "away" | "slow" | "unpaired" | "name" | "server", words: string}} HoldUp
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

/** The server answers, and takes nothing just now; what was sent goes on waiting. */
export class HeldUpError extends Error {
  /** @param {HoldUp} holdUp */
  constructor(holdUp) {
    super(holdUp.words);
    this.holdUp = holdUp;
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
  if (status >= 400 && status < 500 && !ABOUT_SOMETHING_ELSE.includes(status)) {
    return new RefusedError(status, words);
  }
  const kind = status === 401 ? "unpaired" : status === 421 ? "name" : "server";
  return new HeldUpError({ kind, words });
}

/**
 * Why an error keeps what waits from being sent.
 * @param {unknown} error
 * @returns {HoldUp}
 */
function holdUpOf(error) {
  if (error instanceof HeldUpError) {
    return error.holdUp;
  }
  const isSlow = error instanceof DOMException && error.name === "AbortError";
  return isSlow ? { kind: "slow", words: "The server takes long to answer." } : { kind: "away", words: "The server cannot be reached." };
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
   * @param {{now: () => number, random: () => Uint8Array, changed: (waiting: number, refused: Refused[], holdUp: HoldUp | null) => void, aside: (reason: string) => void, refused: (refused: Refused) => void, disagrees?: (visit: string, words: string) => void, sent?: () => void}} world
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
    /** @type {HoldUp | null} */
    this.holdUp = null;
  }

  /**
   * Writes the events of one tap, all or none; resolves when they are on this device's disk, rejects where that takes none.
   * @param {string} visit
   * @param {number} seen - the highest round that the page has seen
   * @param {object[]} bodies
   * @returns {Promise<Event[]>}
   */
  write(visit, seen, bodies) {
    const next = this.writing.then(() => this.writeNow(visit, seen, bodies));
    this.writing = next.catch(() => undefined);
    return next;
  }

  /**
   * @param {string} visit
   * @param {number} seen
   * @param {object[]} bodies
   * @returns {Promise<Event[]>}
   */
  async writeNow(visit, seen, bodies) {
    const events = await this.drawer.append(visit, (clock) => {
      clock.round = Math.max(clock.round, seen);
      return bodies.map((body) => {
        clock.round += 1;
        clock.count += 1;
        return {
          format: FORMAT,
          stream: { kind: /** @type {const} */ ("visit"), id: visit },
          id: newId(this.world.now(), this.world.random()),
          order: { round: clock.round, device: this.device, count: clock.count },
          ...(this.person ? { person: this.person } : {}),
          at_ms: Math.floor(this.world.now()),
          body,
        };
      });
    });
    await this.waiting();
    return events;
  }

  /**
   * What waits to be sent, in the order of writing; reports how much that is and what is refused.
   * @returns {Promise<Event[]>}
   */
  async waiting() {
    const all = await this.drawer.all();
    const waiting = all.filter((event) => !this.reasons.has(event.stream.id));
    this.world.changed(waiting.length, this.refusedAmong(all), waiting.length > 0 ? this.holdUp : null);
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
    // An entry goes back among those that wait once in a go, whatever the server says: no answer makes this loop for ever.
    /** @type {Set<string>} */
    const resent = new Set();
    for (let isAny = false; ; isAny = true) {
      const waiting = await this.waiting();
      if (waiting.length === 0) {
        if (isAny) {
          this.world.sent?.();
        }
        return;
      }
      const visit = waiting[0].stream.id;
      const some = waiting.filter((event) => event.stream.id === visit).slice(0, atOnce);
      try {
        await this.exchange(visit, some, resent);
      } catch (error) {
        if (!(error instanceof RefusedError)) {
          this.holdUp = holdUpOf(error);
          await this.waiting();
          return;
        }
        if (error.status === TOO_LARGE && some.length > 1) {
          atOnce = Math.ceil(some.length / 2);
        } else {
          await this.setRefused(visit, error.reason);
        }
      }
    }
  }

  /**
   * Says to the server how this device stands in a visit, with nothing to send: what the journal has lost comes back with it.
   * @param {string} visit
   * @returns {Promise<void>}
   */
  async touch(visit) {
    try {
      await this.exchange(visit, [], new Set());
    } catch {
      // No answer, or a refusal: what waits says why, and there is nothing of this to keep.
    }
    await this.send();
  }

  /**
   * Sends some events of one visit and does what the answer says.
   * @param {string} visit
   * @param {Event[]} some
   * @param {Set<string>} resent
   */
  async exchange(visit, some, resent) {
    const answer = await this.post(visit, some, await this.drawer.contact(visit));
    const { sent } = answer;
    if (!Array.isArray(sent) || sent.length !== some.length) {
      throw new HeldUpError({ kind: "server", words: "The server's answer does not fit what was sent." });
    }
    this.holdUp = null;
    some.forEach((event) => resent.add(event.id));
    const all = some.map((event, at) => ({ id: event.id, ...sent[at] }));
    for (const one of all.filter((each) => each.verdict === "aside")) {
      this.world.aside(one.reason ?? "");
    }
    const isKept = (/** @type {{verdict: string, place?: number | null}} */ one) => one.verdict !== "aside" && typeof one.place === "number";
    await this.drawer.settle(visit, {
      kept: all.filter(isKept).map(({ id, place }) => ({ id, place: Number(place) })),
      gone: all.filter((one) => !isKept(one)).map(({ id }) => id),
      journal: answer.journal ?? null,
      agrees: answer.agrees !== false,
      again: answer.again ?? [],
      safe: answer.safe ?? 0,
      resent,
    });
    if (answer.agrees === false && answer.words) {
      this.world.disagrees?.(visit, answer.words);
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
