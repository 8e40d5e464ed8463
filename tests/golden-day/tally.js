// What is off, counted apart from the program: from the words on the large buttons that were tapped, as a person would keep
// a tally on a sheet of paper.

/** A count in the words of a button: "It is off" is one, "All 3 are off" and "The other 3 are off" are three. */
const COUNT = /^(?:It is|The last one is|(?:All|The other) (\d+) are|(\d+) (?:is|are))\b/;

/** Words of buttons that move nothing. */
const NOTHING = /^(?:It is done|Done|It is restored|Looked at |The wait begins|The wait is over|.* are done, pass \d+)/;

/** A tally by hand. */
export class Tally {
  constructor() {
    /** Fasteners off and not run in. */
    this.off = 0;
    /** Fasteners run in and not tight. */
    this.fingerTight = 0;
    /** Fasteners broken and not renewed. */
    this.broken = 0;
    /** Parts off. */
    this.parts = 0;
    /** Caps in openings. */
    this.caps = 0;
    /** Where the lift stands. */
    this.lift = "ground";
  }

  /**
   * Counts what a tap on a large button said.
   * @param {string} label
   */
  tap(label) {
    // Where it goes and which pass it was is said behind the last comma.
    const words = label.replace(/, (?:into|from|left|pass) [^,]*$/, "");
    const found = COUNT.exec(words);
    const count = Number(found?.[1] ?? found?.[2] ?? 1);
    const caps = /^(\d+) caps? (in|out)$/.exec(words);
    const lift = /^The lift stands at (\w+)$/.exec(words);
    if (caps) {
      this.caps += caps[2] === "in" ? Number(caps[1]) : -Number(caps[1]);
    } else if (lift) {
      this.lift = lift[1] ?? "";
    } else if (NOTHING.test(label)) {
      return;
    } else if (found && / off$/.test(words)) {
      this.off += count;
    } else if (found && /finger-tight$/.test(label)) {
      this.off -= count;
      this.fingerTight += count;
    } else if (found && / tight$/.test(words)) {
      // A clip is seated in one go; a screw was run in before and is tight after its last pass.
      this[/pass \d+$/.test(label) ? "fingerTight" : "off"] -= count;
    } else if (/ is off$/.test(words)) {
      this.parts += 1;
    } else if (/ is in place$/.test(words)) {
      this.parts -= 1;
    } else {
      throw new Error(`the tally does not know what “${label}” moves; teach tally.js its words`);
    }
  }

  /** Counts a hole that was tapped alone. */
  tapHoleOff() {
    this.off += 1;
  }

  /** Takes back a hole that was tapped alone. */
  undoHoleOff() {
    this.off -= 1;
  }

  /** One that was in its hole is broken there. */
  breakInHole() {
    this.broken += 1;
  }

  /** A new one lies ready for a broken one. */
  renewBroken() {
    this.broken -= 1;
    this.off += 1;
  }
}
