// The day is planned, and a second opinion is taken on the plan.

import { existsSync, readFileSync, writeFileSync } from "node:fs";

/** @type {import("../world.js").Chapter} */
export const chapter = {
  title: "The day is planned",
  story: "The thermostat of the grey bus is to be renewed. The plan is made, read at the desk, and judged apart before it is believed.",
  async live(day) {
    const asked = ["plan", "--book", day.book, "--store", day.store, "--task", day.task, "--letter", "A", "--seconds", day.seconds];
    const planned = day.run(...asked, "--out", day.file("plan"));
    day.equal("a plan is made, exit code 0", planned.code, 0);
    const [page, text, json] = ["html", "txt", "json"].map((ending) => day.file(`plan/tern-24.${ending}`));
    day.must("page, text and JSON lie in the folder", [page, text, json].every((file) => existsSync(file)), day.files());
    const plan = JSON.parse(readFileSync(json, "utf8"));
    day.must("every fastener in the way can be worked: go", plan.readiness.go === true, plan.readiness.against);
    /** @type {{ name: string, stretch: string, sets: { setting: string, value: string }[] }[]} */
    const steps = plan.steps;
    /** @param {string} word */
    const ofStretch = (word) => steps.filter((step) => step.stretch === word);
    day.must("the strip comes before the refit, and both have steps", ofStretch("strip").length > 20 && ofStretch("refit").length > 20);
    day.equal("no two steps have the same name", new Set(steps.map((step) => step.name)).size, steps.length);
    day.facts.set("steps", String(steps.length));
    const lift = steps.flatMap((step) => step.sets ?? []).filter((set) => set.setting === "lift").map((set) => set.value);
    day.equal("each move of the lift is a step, and it ends on the ground", [lift.length, lift.at(-1)], [plan.moves.lift.count, "ground"]);
    day.must("the moves are told with the least that any order has", plan.least_moves <= plan.moves.place.count + plan.moves.lift.count);
    day.equal("the judge finds nothing, exit code 0", day.run("judge", "--book", day.book, "--store", day.store, "--plan", json).code, 0);

    // The last step of the strip, taken first: a part would come off while its bolts hold it.
    const turned = structuredClone(plan);
    turned.steps.unshift(...turned.steps.splice(ofStretch("strip").length - 1, 1));
    writeFileSync(day.file("turned.json"), JSON.stringify(turned));
    const judged = day.run("judge", "--book", day.book, "--store", day.store, "--plan", day.file("turned.json"));
    day.mustNot("the judge lets a plan through whose last step comes first", judged.code === 0, judged.out);
    day.equal("it ends with exit code 1", judged.code, 1);
    await day.pictureOfFile(page, "plan");
  },
};
