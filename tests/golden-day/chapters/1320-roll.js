// The lift is wanted: what would have to go back so that the vehicle can be pushed out, asked of a copy of the journal.

/** @type {import("../world.js").Chapter} */
export const chapter = {
  title: "The lift is wanted",
  story: "A neighbour asks for the lift. On a copy of the journal the visit is planned to roll, and then to the whole job again, before anybody says yes.",
  async live(day) {
    const copy = day.file("roll.journal");
    day.equal("a copy of the journal is made while the server runs, exit code 0", day.runOnJournal("backup", "--out", copy).code, 0);
    /** @param {string[]} words */
    const plan = (...words) => {
      const made = day.run("visit", ...words, "--journal", copy, "--json");
      day.equal(`visit ${words[0]} ${words.at(-1)}: exit code 0`, made.code, 0);
      return JSON.parse(made.out);
    };
    const whole = plan("plan-to", day.visit, "--goal", "whole");
    const roll = plan("plan-to", day.visit, "--goal", "roll");
    day.equal("the plan leads to the state that was asked for", roll.goal, "roll");
    day.must("it is shorter than the rest of the job", roll.steps < whole.steps && roll.takes_s < whole.takes_s, [roll.steps, whole.steps]);
    day.mustNot("anything comes off on the way there", roll.names.some((/** @type {string} */ name) => /^(undo|loosen|remove)\./.test(name)), roll.names);
    const again = plan("plan-to", day.visit, "--goal", "whole");
    /** @param {{ names: string[] }} of */
    const work = (of) => of.names.filter((name) => !/^(set|wait)\./.test(name)).sort();
    day.equal("the whole job is the same work under the same names", work(again), work(whole));
    const added = day.run("visit", "add-task", day.visit, "--task", "renew-everything", "--journal", copy);
    day.mustNot("a task that nobody knows is taken in", added.code === 0, added.out);
  },
};
