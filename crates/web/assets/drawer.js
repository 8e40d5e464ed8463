// The drawer of the outbox in IndexedDB; forced to disk at each write.

/** @typedef {import("./outbox.js").Event} Event */
/** @typedef {import("./outbox.js").Clock} Clock */
/** @typedef {import("./outbox.js").Drawer} Drawer */

const NAME = "bench-streams";
const FORMAT = 1;

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
  request.onupgradeneeded = () => {
    request.result.createObjectStore("events", { autoIncrement: true });
    request.result.createObjectStore("clocks", { keyPath: "visit" });
    request.result.createObjectStore("sheets", { keyPath: "place" });
  };
  return done(request);
}

/**
 * The drawer of this browser, and beside it the sheets that it keeps to be read without a connection.
 * @returns {Promise<Drawer & {keepSheet: (place: string, html: string) => Promise<void>, sheet: (place: string) => Promise<string | null>}>}
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
    async put(event, clock) {
      const transaction = writing(["events", "clocks"]);
      transaction.objectStore("events").add(event);
      transaction.objectStore("clocks").put(clock);
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
    async clock(visit) {
      const known = await done(database.transaction("clocks").objectStore("clocks").get(visit));
      return known ?? { visit, round: 0, count: 0 };
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
  };
}
