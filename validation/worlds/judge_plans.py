"""Judges plans by a reader of laws that is not ours: maps `traywright plan --json` (version 2) to a list of events and hands it over.

The reader is a Python file with `blocks(path)` and `judge(laws, sequence, start, place, lift)`; laws are those that the books of
`situations` carry as remarks (`# law: …`), or the block of a name in a page of laws.

    python judge_plans.py --reader laws.py --program traywright --store STORE             all situations
    python judge_plans.py --reader laws.py --program traywright --store STORE --page worlds.md C1 c1.toml
"""

import argparse
import importlib.util
import json
import pathlib
import re
import subprocess
import sys
import tomllib

FOLDER = pathlib.Path(__file__).parent
VERBS = {"undo": "out", "remove": "off", "cap": "cap", "uncap": "uncap", "refit": "on", "run-in": "in", "tighten": "tight",
         "open": "made", "drain": "made", "fill": "undone", "restore": "undone",
         "renew": "done", "inspect": "done", "measure": "done", "reseal": "done"}
# What a page of laws calls otherwise than the composed books: settings of a book that are acts of the page, and shorter titles.
RENAMED = {
    "aux-belt-picture=taken": "aux-belt.picture", "crank-bolt=loose": "crank-bolt.loosen", "crank-bolt=tight": "crank-bolt.tight",
    "nose=empty": "nose=none", "nose=old-bolt": "nose=old", "nose=new-bolt": "nose=new", "tensioner=slack": "tensioner.loosen",
    "tensioner=set": "tensioner.tight", "turns=done": "crank.two-turns", "engine=run": "engine.run", "leak-look=done": "leak.look",
    "beam=carrying": "beam=on", "beam=away": "beam=off", "rail=zero": "pressure=none", "fuel=primed": "fuel.prime",
    "old-washer-2=out": "old-washer-2.out", "old-washer-3=out": "old-washer-3.out", "engine-run=done": "engine.run",
    "wing-liner": "liner", "right-mounting": "mounting", "engine-cover": "cover", "loom-tray.off": "loom.aside", "loom-tray": "loom",
    "leak-off-pipe": "leak-off",
}
# What only tells how such a book counts, and stands in no law.
UNTOLD = re.compile(r"(crank|cam)-proof=|pump-renewed=|leak-look=due|engine-run=due|fuel=air|.*-catches\.|wheel\.(loosen|out|in|tight)|wheel-bolts\.(out|in)|.*=(loose|held)$|rail=")


def plain(words):
    return words.replace(" ", "-")


def events_of_step(step, duties, tells_effects):
    """One step as names of events: what it is about with what is done to it, then the settings that it changes, side effects if wanted."""
    acts = {duties[action["duty"]]["act"] for action in step.get("actions", [])}
    verbs = [VERBS[step["kind"]]] if step["kind"] in VERBS else []
    if step["kind"] == "undo":
        verbs = [verb for act, verb in (("free", "loosen"), ("run-out", "out")) if act in acts]
    about = [step.get(key) for key in ("part", "condition", "opening", "task")] + step.get("fixings", [])
    names = [f"{subject}.{verb}" for subject in about if subject for verb in verbs]
    sets = step.get("sets", [])
    sets = sets if tells_effects else sets[: step["kind"] == "set"]
    return names + [f"{change['setting']}={plain(change['value'])}" for change in sets]


def standing_after(step, closing):
    """How the part of a step stands after it, as the laws say it; nothing where nothing changes."""
    part = step.get("part")
    if not part or step["kind"] not in ("undo", "remove", "refit", "run-in", "tighten"):
        return []
    if step["kind"] == "remove":
        return []
    return [f"{part}={'held' if closing.get(part) == step['number'] else 'loose'}"]


def sequence_of_plan(plan, lift, tells_effects=True):
    """The plan as (event, place, height), one line a step."""
    steps = [step for step in plan["steps"] if step["kind"] != "wait"]
    closing = {step["part"]: step["number"] for step in steps if step.get("part") and step["kind"] in ("refit", "run-in", "tighten")}
    sequence = []
    for step in steps:
        names = events_of_step(step, plan["duties"], tells_effects) + standing_after(step, closing)
        lift = next((name.split("=")[1] for name in names if name.startswith("lift=")), lift)
        sequence += [(name, plain(step["station"]), lift) for name in names]
    return sequence


def renamed(name):
    """A name as the page has it."""
    subject, verb = (name.split(".", 1) + [""])[:2] if "." in name else (name, "")
    return RENAMED.get(name) or (f"{RENAMED[subject]}.{verb}" if subject in RENAMED and verb else name)


def sequence_for_page(sequence):
    """The sequence in the words of the page."""
    named = [(renamed(name), place, lift) for name, place, lift in sequence]
    return [event for event in named if not UNTOLD.match(event[0])]


def start_of_book(book):
    key_of = lambda row: row.get("key") or "-".join(re.findall(r"[a-z0-9]+", row["title"].lower()))
    start = {key_of(row): plain(row.get("start", row["values"][0])) for row in book.get("setting", [])}
    return start | {key_of(row): "held" for row in book.get("part", [])}, key_of(book["station"][0])


def laws_of_book(text):
    lines = re.findall(r"^# law: (.*)$", text, re.MULTILINE)
    return [law.strip() for line in lines for law in line.split(";")]


def main():
    parser = argparse.ArgumentParser()
    for name in ("reader", "program", "store", "page"):
        parser.add_argument(f"--{name}", type=pathlib.Path, required=name != "page")
    parser.add_argument("block", nargs="*", help="a block of the page and a book of this folder")
    asked = parser.parse_args()
    spec = importlib.util.spec_from_file_location("reader", asked.reader)
    reader = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(reader)
    if asked.page:
        jobs = [(FOLDER / asked.block[1], reader.blocks(asked.page)[asked.block[0]])]
    else:
        books = sorted((FOLDER / "situations").glob("*.toml"))
        jobs = [(path, laws_of_book(path.read_text(encoding="utf-8"))) for path in books]
    broken = 0
    for path, laws in jobs:
        if not laws:
            continue
        command = [asked.program, "plan", "--book", path, "--store", asked.store, "--seed", "7", "--json"]
        done = subprocess.run(command, capture_output=True, text=True, check=False)
        if not done.stdout.strip():
            print(path.name, "no plan:", done.stderr.strip()[:300])
            broken += 1
            continue
        start, place = start_of_book(tomllib.loads(path.read_text(encoding="utf-8")))
        sequence = sequence_of_plan(json.loads(done.stdout), start.get("lift"), not asked.page)
        if asked.page:
            start, sequence = {"lift": start["lift"]}, sequence_for_page(sequence)
        faults = reader.judge(laws, sequence, start, place, start.get("lift"))
        broken += bool(faults)
        print(path.name, len(laws), "laws", "kept" if not faults else f"broken: {faults}")
    return 1 if broken else 0


if __name__ == "__main__":
    sys.exit(main())
