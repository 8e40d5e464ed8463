// What is off, counted apart from the program: from the words on the large buttons that were tapped, as a person would keep
// a tally on a sheet of paper.

/**
 * Fasteners in the words of a button: "Off" and "Last one off" are one, "Both off" is two, "All 3 off" and "Other 3 off" are three.
 */
const FASTENERS = /^(?:(Both)|(?:All|Other) (\d+)|Last one)? ?(?:new, )?(off|unplugged|in, finger-tight|in, tight|in and tight|plugged in, clicked|clipped in|done|tight)(, pass \d+ of \d+)?$/i;

/** Where fasteners go, behind what is done with them. */
const WAY = /(?: → \S+|, left on the part|, back in the hole by hand|, kept apart: not used again)$/;

/** Words of buttons that move nothing. */
const NOTHING = /^(?:Done|Drained|Filled|Looked at |(?:Both|All \d+) looked at |The wait begins|The wait is over)/;

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
    // A part that goes on is named before its fasteners, one that comes off behind them.
    const on = /^(.+) in place(?:, |$)/.exec(label);
    const off = /; (.+) off$/.exec(label);
    this.parts += off ? 1 : on ? -1 : 0;
    const words = label.slice(on?.[0].length ?? 0, off?.index ?? label.length);
    if (words !== "") {
      this.#tapOne(words);
    }
  }

  /** @param {string} words - of a label, without a part that is moved in the same tap */
  #tapOne(words) {
    const found = FASTENERS.exec(words.replace(WAY, ""));
    const count = found?.[1] ? 2 : Number(found?.[2] ?? 1);
    const caps = /^(\d+) caps? (in|out)$/.exec(words);
    const lift = /^The lift stands at (\w+)$/.exec(words);
    const deed = found?.[3]?.toLowerCase();
    if (caps) {
      this.caps += caps[2] === "in" ? Number(caps[1]) : -Number(caps[1]);
    } else if (lift) {
      this.lift = lift[1] ?? "";
    } else if (deed === "off" || deed === "unplugged") {
      this.off += count;
    } else if (deed === "in, finger-tight") {
      this.off -= count;
      this.fingerTight += count;
    } else if (deed === "tight") {
      this.fingerTight -= count;
    } else if (deed === "done" && found?.[4]) {
      // A pass that is not the last.
    } else if (deed !== undefined && deed !== "done") {
      // Seated as it goes in.
      this.off -= count;
    } else if (NOTHING.test(words)) {
      return;
    } else if (/ off$/.test(words)) {
      this.parts += 1;
    } else {
      throw new Error(`the tally does not know what “${words}” moves; teach tally.js its words`);
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
