// The drawer of the outbox in IndexedDB; forced to disk at each write.

/** @typedef {import("./outbox.js").Event} Event */
/** @typedef {import("./outbox.js").Clock} Clock */
/** @typedef {import("./outbox.js").Drawer} Drawer */

const NAME = "bench-streams";
const FORMAT = 3;

/** Taps of a visit that may be taken back. */
const MAX_TAPS = 60;

/**
 * A tap of this device: what it said, the events that it made, and the sheet on which it was made.
 * @typedef {{visit: string, ids: string[], bodies: any[], label: string, html: string}} Tap
 */

/**
 * A picture that the server does not have yet, and what it is of.
 * @typedef {{visit: string, blob: Blob, at: object}} UnsentPicture
 */

/**
 * @template T
 * @param {IDBRequest<T>} request
 * @returns {Promise<T>}
 */
function done(request) {
  return new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}

/**
 * @param {IDBTransaction} transaction
 * @returns {Promise<void>}
 */
function written(transaction) {
  return new Promise((resolve, reject) => {
    transaction.oncomplete = () => resolve();
    transaction.onabort = () => reject(transaction.error);
    transaction.onerror = () => reject(transaction.error);
  });
}

/** @returns {Promise<IDBDatabase>} */
function open() {
  const request = indexedDB.open(NAME, FORMAT);
  request.onupgradeneeded = (event) => {
    if (event.oldVersion < 1) {
      request.result.createObjectStore("events", { autoIncrement: true });
      request.result.createObjectStore("clocks", { keyPath: "visit" });
      request.result.createObjectStore("sheets", { keyPath: "place" });
    }
    if (event.oldVersion < 2) {
      request.result.createObjectStore("taps", { autoIncrement: true }).createIndex("visit", "visit");
      // What the server has, until a backup has it too; and the server's last word on each visit's journal.
      request.result.createObjectStore("kept", { keyPath: "id" }).createIndex("visit", "visit");
      request.result.createObjectStore("journals", { keyPath: "visit" });
    }
    // Pictures that the server does not have yet.
    request.result.createObjectStore("pictures", { autoIncrement: true });
  };
  return done(request);
}

/**
 * The drawer of this browser, and beside it the sheets that it keeps to be read without a connection, and the taps
 * that may be taken back: in whatever tab, on whatever day.
 * @returns {Promise<Drawer & {keepSheet: (place: string, html: string) => Promise<void>, sheet: (place: string) => Promise<string | null>,
 *   keepPicture: (picture: UnsentPicture) => Promise<void>, firstPicture: () => Promise<{key: IDBValidKey, picture: UnsentPicture} | null>,
 *   forgetPicture: (key: IDBValidKey) => Promise<void>,
 *   keepTap: (tap: Tap) => Promise<void>, tapsOf: (visit: string) => Promise<Tap[]>, forgetTap: (visit: string, ids: string[]) => Promise<void>}>}
 */
export async function openDrawer() {
  const database = await open();
  /**
   * @param {string[]} stores
   * @returns {IDBTransaction}
   */
  const writing = (stores) => database.transaction(stores, "readwrite", { durability: "strict" });
  return {
    async all() {
      return done(database.transaction("events").objectStore("events").getAll());
    },
    async append(visit, make) {
      const transaction = writing(["events", "clocks"]);
      const [events, clocks] = [transaction.objectStore("events"), transaction.objectStore("clocks")];
      /** @type {Event[]} */
      let made = [];
      const known = clocks.get(visit);
      known.onsuccess = () => {
        const clock = known.result ?? { visit, round: 0, count: 0 };
        made = make(clock);
        made.forEach((event) => events.add(event));
        clocks.put(clock);
      };
      await written(transaction);
      return made;
    },
    async put(events) {
      const transaction = writing(["events"]);
      const store = transaction.objectStore("events");
      const known = store.getAll();
      known.onsuccess = () => {
        const ids = new Set(known.result.map((event) => event.id));
        events.filter((event) => !ids.has(event.id)).forEach((event) => store.add(event));
      };
      await written(transaction);
    },
    async contact(visit) {
      const transaction = database.transaction(["clocks", "journals"]);
      const [clock, last] = await Promise.all([done(transaction.objectStore("clocks").get(visit)), done(transaction.objectStore("journals").get(visit))]);
      return { known: last?.journal ?? null, written: clock?.count ?? 0 };
    },
    async settle(visit, change) {
      const transaction = writing(["events", "kept", "journals"]);
      const [events, kept] = [transaction.objectStore("events"), transaction.objectStore("kept")];
      const places = new Map(change.kept.map(({ id, place }) => [id, place]));
      const gone = new Set(change.gone);
      // Of before this answer: those that the journal lacks wait again.
      const before = kept.index("visit").openCursor(visit);
      before.onsuccess = () => {
        const at = before.result;
        if (!at) {
          return;
        }
        const { id, place, event } = at.value;
        const isAsked = change.again.some(([from, to]) => from <= event.order.count && event.order.count <= to);
        if ((!change.agrees || isAsked) && !places.has(id) && !change.resent.has(id)) {
          events.add(event);
          at.delete();
        } else if (change.agrees && place <= change.safe && !places.has(id)) {
          at.delete();
        }
        at.continue();
      };
      const waiting = events.openCursor();
      waiting.onsuccess = () => {
        const at = waiting.result;
        if (!at) {
          return;
        }
        const place = places.get(at.value.id);
        if (place !== undefined && place > (change.agrees ? change.safe : 0)) {
          kept.put({ id: at.value.id, visit, place, event: at.value });
        }
        if (place !== undefined || gone.has(at.value.id)) {
          at.delete();
        }
        at.continue();
      };
      transaction.objectStore("journals").put({ visit, journal: change.journal });
      await written(transaction);
    },
    async remove(ids) {
      const gone = new Set(ids);
      const transaction = writing(["events"]);
      const cursor = transaction.objectStore("events").openCursor();
      cursor.onsuccess = () => {
        const at = cursor.result;
        if (at) {
          if (gone.has(at.value.id)) {
            at.delete();
          }
          at.continue();
        }
      };
      await written(transaction);
    },
    async keepSheet(place, html) {
      const transaction = writing(["sheets"]);
      transaction.objectStore("sheets").put({ place, html });
      await written(transaction);
    },
    async sheet(place) {
      const known = await done(database.transaction("sheets").objectStore("sheets").get(place));
      return known ? known.html : null;
    },
    async keepPicture(picture) {
      const transaction = writing(["pictures"]);
      transaction.objectStore("pictures").add(picture);
      await written(transaction);
    },
    async firstPicture() {
      const at = await done(database.transaction("pictures").objectStore("pictures").openCursor());
      return at ? { key: at.key, picture: at.value } : null;
    },
    async forgetPicture(key) {
      const transaction = writing(["pictures"]);
      transaction.objectStore("pictures").delete(key);
      await written(transaction);
    },
    async keepTap(tap) {
      const transaction = writing(["taps"]);
      const taps = transaction.objectStore("taps");
      taps.add(tap);
      const keys = taps.index("visit").getAllKeys(tap.visit);
      keys.onsuccess = () => keys.result.slice(0, -MAX_TAPS).forEach((key) => taps.delete(key));
      await written(transaction);
    },
    async tapsOf(visit) {
      return done(database.transaction("taps").objectStore("taps").index("visit").getAll(visit));
    },
    async forgetTap(visit, ids) {
      const transaction = writing(["taps"]);
      const cursor = transaction.objectStore("taps").index("visit").openCursor(visit);
      cursor.onsuccess = () => {
        const at = cursor.result;
        if (at && at.value.ids[0] === ids[0]) {
          at.delete();
        } else {
          at?.continue();
        }
      };
      await written(transaction);
    },
  };
}
