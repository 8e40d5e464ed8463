// What is left of a wait, by this device's clock: figures in, words out.

/** A wait that nobody ticks is shown for this long once it is over, ms. */
export const SHOWN_AFTER_MS = 3_600_000;

/** @param {number} seconds @param {number} minutes */
function lengthWords(seconds, minutes) {
  if (seconds <= 90 && minutes * 60 !== seconds) {
    return `${seconds} s`;
  }
  if (minutes >= 2_880) {
    return `${Math.floor(minutes / 1_440)} days`;
  }
  const [hours, rest] = [Math.floor(minutes / 60), minutes % 60];
  return hours === 0 ? `${rest} min` : rest === 0 ? `${hours} h` : `${hours} h ${rest} min`;
}

/**
 * The same words as the server's (`app/src/bench/waits.rs`).
 * @param {number} left_s
 * @param {boolean} isAssumed
 */
export function clockWords(left_s, isAssumed) {
  const mark = isAssumed ? "~ " : "";
  const left = Math.ceil(left_s);
  if (left > 0) {
    return `${mark}${lengthWords(left, Math.ceil(left / 60))} left`;
  }
  const minutes = Math.floor(-left / 60);
  return minutes === 0 ? "over now" : `ended ${mark}${lengthWords(minutes * 60, minutes)} ago`;
}

/**
 * What is left of a wait, ms; never more than its whole length. What this device wrote is compared with its own clock, what
 * others wrote with the server's, as far as it is known.
 * @param {{begun_ms: number, length_s: number, by: string}} wait
 * @param {{now_ms: number, skew_ms: number, device: string}} here - `skew_ms`: how far this device's clock is ahead of the server's
 */
export function leftOf({ begun_ms, length_s, by }, { now_ms, skew_ms, device }) {
  const now = by === device ? now_ms : now_ms - skew_ms;
  return Math.min(begun_ms + length_s * 1_000 - now, length_s * 1_000);
}

/** What each kind of entry begins a wait with. @type {Record<string, (body: any) => string>} */
const BEGINS = {
  established: (body) => body.condition, "part-on": (body) => body.part, marked: (body) => body.fixing,
  "wait-began": (body) => body.waiting.what, extra: (body) => body.step,
};

/**
 * When the newest of these entries began a wait that work on one of the keys begins, ms; `null` where none did.
 * @param {{at_ms: number, body: any}[]} events
 * @param {string[]} keys
 */
export function begunIn(events, keys) {
  const begun = events.filter(({ body }) => keys.includes(BEGINS[body.kind]?.(body) ?? ""));
  return begun.reduce((latest, { at_ms }) => Math.max(latest ?? at_ms, at_ms), /** @type {number | null} */ (null));
}
