// The ledger as it is read: the command's text, the sheet in the browser, and the JSON, each brought into one plain form.

/** @typedef {import("./world.js").Page} Page */

/**
 * Open lines by the heading under which they are, in lower case, each list sorted.
 * @typedef {{open: number, may: Record<string, boolean>, sections: Record<string, string[]>}} Ledger
 */

/** @param {Record<string, string[]>} sections */
function sorted(sections) {
  return Object.fromEntries(Object.entries(sections).map(([title, lines]) => [title, [...lines].sort()]));
}

/**
 * What `traywright ledger` prints of one visit.
 * @param {string} text
 * @returns {Ledger}
 */
export function ledgerOfText(text) {
  const open = Number(/: (\d+) lines? open/.exec(text)?.[1] ?? 0);
  const may = Object.fromEntries([...text.matchAll(/^ {2}(moved|lowered|started) +(.*)$/gm)].map((line) => [line[1], line[2].startsWith("allowed")]));
  /** @type {Record<string, string[]>} */
  const sections = {};
  /** @type {string[] | null} */
  let section = null;
  for (const line of text.split("\n")) {
    if (/^[A-Z][A-Z, -]+$/.test(line)) {
      section = sections[line.toLowerCase()] = [];
    } else if (section && line.startsWith("  - ")) {
      section.push(line.slice(4));
    } else if (section && section.length > 0 && line.startsWith("    ")) {
      section.push(`${section.pop()} ${line.trim()}`);
    }
  }
  // The counts are a table of their own below the lines.
  const lines = Object.entries(sections).filter(([, all]) => all.length > 0);
  return { open, may, sections: sorted(Object.fromEntries(lines)) };
}

/**
 * What the sheet "Ledger" shows.
 * @param {Page} page
 * @returns {Promise<Ledger>}
 */
export async function ledgerOfPage(page) {
  const seen = await page.evaluate(() => ({
    open: document.querySelector("p.big")?.textContent ?? "",
    may: [...document.querySelectorAll(".verdicts > div")].map((div) => [div.firstChild?.textContent?.replace("may be ", "") ?? "", div.querySelector("strong")?.textContent === "yes"]),
    // Each line has a row of its own, some of them within a part that is folded.
    lines: /** @type {HTMLElement[]} */ ([...document.querySelectorAll("li[data-kind]")]).map((row) => [row.dataset.kind ?? "", row.querySelector("strong")?.textContent ?? ""]),
  }));
  /** @type {Record<string, string[]>} */
  const sections = {};
  seen.lines.forEach(([kind, line]) => (sections[kind] ??= []).push(line));
  return {
    open: Number(/^(\d+) lines? open$/.exec(seen.open)?.[1] ?? 0),
    may: Object.fromEntries(seen.may),
    sections: sorted(sections),
  };
}

/**
 * What `traywright ledger --json` says of one visit: format, sum, verdicts, and what is open, sorted.
 * @param {string} text
 * @param {string} visit
 */
export function ledgerOfJson(text, visit) {
  const answer = JSON.parse(text);
  const ledger = answer.visits.find((/** @type {any} */ one) => one.visit === visit);
  const standing = ledger.lines.filter((/** @type {any} */ line) => line.accepted_by === null);
  return {
    format: answer.format,
    open: standing.length,
    may: Object.fromEntries(ledger.permissions.map((/** @type {any} */ one) => [one.what, one.is_permitted])),
    lines: standing.map((/** @type {any} */ line) => line.what).sort(),
    isSettled: ledger.is_settled,
  };
}

/**
 * Whether the command and the sheet say the same: the same headings with the same lines, and the command what closes each besides.
 * @param {Ledger} text
 * @param {Ledger} page
 */
export function differences(text, page) {
  const titles = new Set([...Object.keys(text.sections), ...Object.keys(page.sections)]);
  const found = [];
  if (text.open !== page.open) {
    found.push(`${text.open} lines open against ${page.open}`);
  }
  for (const what of ["moved", "lowered", "started"]) {
    if (text.may[what] !== page.may[what]) {
      found.push(`may be ${what}: ${text.may[what]} against ${page.may[what]}`);
    }
  }
  for (const title of titles) {
    const [a, b] = [text.sections[title] ?? [], page.sections[title] ?? []];
    const unlike = a.length !== b.length || b.some((what, at) => !a[at].startsWith(what));
    if (unlike) {
      found.push(`${title}: ${JSON.stringify(a)} against ${JSON.stringify(b)}`);
    }
  }
  return found;
}

/**
 * How many lines are under a heading.
 * @param {Ledger} ledger
 * @param {string} title
 */
export function linesUnder(ledger, title) {
  return ledger.sections[title]?.length ?? 0;
}
