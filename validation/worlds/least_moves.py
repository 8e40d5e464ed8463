"""The least changes of place plus moves of the lift for the books of this folder, over all orders of the work.

Dijkstra's search over whole worlds: every setting, every part of the way in with its fixings, tasks, conditions and
the mechanic's place. A step costs one where it is done at another place than the step before, and one where it moves
the lift; all else is free. Nothing here is shared with the planner; the meaning of the book is that of
docs/book-format.md, "Settings, needs and rules".

    python least_moves.py BOOK.toml            prints the answer and the course
    python least_moves.py --write              answers.json anew
    python least_moves.py --check              compares with answers.json

Python 3.11 or later; nothing else is needed.
"""

import heapq
import itertools
import json
import pathlib
import re
import sys
import tomllib

FOLDER = pathlib.Path(__file__).parent
ANSWERS = FOLDER / "answers.json"
STANDINGS = ["held", "loose", "off"]
NOT_TURNED = ("spring clamp", "push clip", "latch", "hand")
# Where a part is, and what was done to a fixing.
ON, OFF, BACK = 0, 1, 2
TIGHT, FREED, OUT, RUN_IN, DONE = 0, 1, 2, 3, 4


def key_of(row):
    return row.get("key") or "-".join(re.findall(r"[a-z0-9]+", row["title"].lower()))


class World:
    """A book as a vector of small numbers, with the steps that change it."""

    def __init__(self, book):
        self.book = book
        self.stations = {key_of(row): row for row in book["station"]}
        self.first_station = next(iter(self.stations))
        self.settings = {key_of(row): row for row in book.get("setting", [])}
        self.parts = {key_of(row): row for row in book.get("part", [])}
        self.conditions = {key_of(row): row for row in book.get("condition", [])}
        self.tasks = {key_of(row): row for row in book["task"]}
        assert not any("way" in part for part in self.parts.values()), "ways of parts are not read here"
        self.way_in, self.made = self.close_needs()
        self.slots, self.start = {}, []
        self.lay_out_vector()
        self.steps = []
        for build in (self.add_ways, self.add_parts, self.add_conditions, self.add_tasks):
            build()
        self.rules = [self.compile_rule(rule) for rule in book.get("rule", [])]

    def close_needs(self):
        """The parts that come off and the conditions that are made for the tasks."""
        parts, conditions = set(), set()
        queue = list(self.tasks.values())
        while queue:
            row = queue.pop()
            for key in row.get("off_first", []):
                if key not in parts:
                    parts.add(key)
                    queue.append(self.parts[key])
            for key in row.get("conditions", []):
                if key not in conditions:
                    conditions.add(key)
                    queue.append(self.conditions[key])
        return [key for key in self.parts if key in parts], [key for key in self.conditions if key in conditions]

    def lay_out_vector(self):
        def add(slot, value):
            self.slots[slot] = len(self.start)
            self.start.append(value)

        for key, setting in self.settings.items():
            values = setting["values"]
            add(("setting", key), values.index(setting.get("start", values[0])))
        for key in self.way_in:
            add(("place", key), ON)
            add(("standing", key), STANDINGS.index("held"))
            for at, _ in enumerate(self.parts[key].get("fixing", [])):
                add(("fixing", key, at), TIGHT)
        for key in self.made:
            add(("condition", key), 0)
        for key in self.tasks:
            add(("task", key), 0)

    def fixings(self, key):
        return self.parts[key].get("fixing", [])

    @staticmethod
    def last_stage(fixing):
        """What is left to do once it is run in: tightening, where there is a figure."""
        turned = not fixing["drive"].startswith(NOT_TURNED)
        return DONE if turned and fixing.get("tighten") else RUN_IN

    def compile_needs(self, needs):
        """Needs as (slot, allowed values); `None` where one can never hold."""
        checks = []
        for need in needs:
            if "setting" in need:
                values = self.settings[need["setting"]]["values"]
                checks.append((self.slots["setting", need["setting"]], {values.index(word) for word in need["is"]}))
            elif need["part"] in self.way_in:
                checks.append((self.slots["standing", need["part"]], {STANDINGS.index(word) for word in need["is"]}))
            elif "held" not in need["is"]:
                return None
        return checks

    def compile_sets(self, sets):
        return [
            (self.slots["setting", row["setting"]], self.settings[row["setting"]]["values"].index(row["to"]))
            for row in sets
        ]

    def add_step(self, name, station, needs, checks, changes, part=None, is_lift=False):
        needs = list(needs) + (self.stations[station].get("needs", []) if station else [])
        compiled = self.compile_needs(needs)
        if compiled is not None:
            self.steps.append((name, station, compiled + checks, changes, part, is_lift))

    def add_ways(self):
        for key, setting in self.settings.items():
            values, slot = setting["values"], self.slots["setting", key]
            for way in setting.get("way", []):
                to = values.index(way["to"])
                origins = {values.index(word) for word in way.get("from", values)} - {to}
                changes = [(slot, to)] + self.compile_sets(way.get("sets", []))
                self.add_step(
                    f"{key} = {way['to']}", way.get("station"), way.get("needs", []), [(slot, origins)], changes,
                    is_lift=setting.get("kind") == "lift",
                )

    def before_off(self, row):
        """What has to be off and made before a part comes off or a task is done."""
        parts = [(self.slots["place", key], {OFF}) for key in row.get("off_first", [])]
        return parts + [(self.slots["condition", key], {1}) for key in row.get("conditions", [])]

    def before_on(self, key):
        """What has to be in place, and done, before a part goes on: whatever it had to be off for."""
        part, checks = self.parts[key], []
        for other in self.way_in:
            if key in self.parts[other].get("off_first", []):
                checks.append((self.slots["place", other], {ON, BACK}))
        for other in part.get("on_after", []):
            if other in self.way_in:
                checks.append((self.slots["place", other], {ON, BACK}))
        for task, row in self.tasks.items():
            if key in row.get("off_first", []):
                checks.append((self.slots["task", task], {1}))
        return checks

    def add_parts(self):
        for key in self.way_in:
            part = self.parts[key]
            station = part.get("station", self.first_station)
            off, on = part.get("taking_off", {}), part.get("setting_on", {})
            place, standing = self.slots["place", key], self.slots["standing", key]
            slots = [self.slots["fixing", key, at] for at, _ in enumerate(self.fixings(key))]
            for slot, fixing in zip(slots, self.fixings(key)):
                title = fixing.get("title", "fixing")
                loosening, tightening = fixing.get("loosening"), fixing.get("tightening", {})
                if loosening:
                    self.add_step(f"free {title}", station, loosening.get("needs", []), [(slot, {TIGHT})],
                                  [(slot, FREED)] + self.compile_sets(loosening.get("sets", [])), key)
                self.add_step(f"undo {title}", station, off.get("needs", []),
                              [(slot, {FREED if loosening else TIGHT})] + self.before_off(part), [(slot, OUT)], key)
                self.add_step(f"run in {title}", station, [], [(place, {BACK}), (slot, {OUT})], [(slot, RUN_IN)], key)
                if self.last_stage(fixing) == DONE:
                    self.add_step(f"tighten {title}", station, tightening.get("needs", []), [(slot, {RUN_IN})],
                                  [(slot, DONE)] + self.compile_sets(tightening.get("sets", [])), key)
            self.add_step(f"remove {key}", station, off.get("needs", []),
                          [(place, {ON})] + [(slot, {OUT}) for slot in slots] + self.before_off(part),
                          [(place, OFF), (standing, STANDINGS.index("off"))] + self.compile_sets(off.get("sets", [])), key)
            self.add_step(f"refit {key}", station, on.get("needs", []), [(place, {OFF})] + self.before_on(key),
                          [(place, BACK)] + self.compile_sets(on.get("sets", [])), key)

    def add_conditions(self):
        for key in self.made:
            row, slot = self.conditions[key], self.slots["condition", key]
            station = row.get("station", self.first_station)
            making, undoing = row.get("making", {}), row.get("undoing", {})
            self.add_step(f"make {key}", station, making.get("needs", []), [(slot, {0})] + self.before_off(row),
                          [(slot, 1)] + self.compile_sets(making.get("sets", [])))
            if "restore" in row:
                back = [(self.slots["place", part], {BACK}) for part in self.way_in
                        if key in self.parts[part].get("conditions", [])]
                self.add_step(f"undo {key}", station, undoing.get("needs", []), [(slot, {1})] + back,
                              [(slot, 2)] + self.compile_sets(undoing.get("sets", [])))

    def add_tasks(self):
        for key, row in self.tasks.items():
            slot, doing = self.slots["task", key], row.get("doing", {})
            self.add_step(key, row.get("station", self.first_station), doing.get("needs", []),
                          [(slot, {0})] + self.before_off(row), [(slot, 1)] + self.compile_sets(doing.get("sets", [])))

    def compile_rule(self, rule):
        """A rule as a question about the vectors before and after a step."""
        during = self.compile_needs(rule.get("while", []))
        def holds(vector, need):
            checks = self.compile_needs([need])
            return checks is not None and all(vector[slot] in values for slot, values in checks)
        def applies(vector):
            return during is not None and all(vector[slot] in values for slot, values in during)
        if "at_least_one" in rule:
            return lambda before, after: not applies(after) or any(holds(after, need) for need in rule["at_least_one"])
        if "never_together" in rule:
            return lambda before, after: not applies(after) or not all(holds(after, need) for need in rule["never_together"])
        still = [self.slots["setting", key] for key in rule["stays_still"]]
        return lambda before, after: not applies(before) or all(before[slot] == after[slot] for slot in still)

    def standing_of(self, vector, key):
        if vector[self.slots["place", key]] == OFF:
            return STANDINGS.index("off")
        stages = [(vector[self.slots["fixing", key, at]], fixing) for at, fixing in enumerate(self.fixings(key))]
        is_held = all(stage == TIGHT for stage, _ in stages) or all(
            stage == self.last_stage(fixing) for stage, fixing in stages
        )
        return STANDINGS.index("held" if is_held else "loose")

    def is_goal(self, vector):
        for key, setting in self.settings.items():
            values = setting["values"]
            end = setting.get("end", [setting.get("start", values[0])])
            if values[vector[self.slots["setting", key]]] not in end:
                return False
        for key in self.way_in:
            if vector[self.slots["place", key]] != BACK or vector[self.slots["standing", key]] != 0:
                return False
        if any(not vector[self.slots["task", key]] for key in self.tasks):
            return False
        return all(vector[self.slots["condition", key]] == (2 if "restore" in self.conditions[key] else 1) for key in self.made)

    def step_on(self, vector, step):
        """The vector after a step, or `None` where it may not be done."""
        _, _, checks, changes, part, _ = step
        if any(vector[slot] not in values for slot, values in checks):
            return None
        after = list(vector)
        for slot, value in changes:
            after[slot] = value
        if part:
            after[self.slots["standing", part]] = self.standing_of(after, part)
        after = tuple(after)
        if after == vector or not all(rule(vector, after) for rule in self.rules):
            return None
        return after


def find_least(world, weights=(1, 1)):
    """The least weighted moves and a course with that many; `None` where no order is possible."""
    place_weight, lift_weight = weights
    start = (tuple(world.start), world.first_station)
    least, came = {start: 0}, {start: None}
    count = itertools.count()
    heap, done = [(0, next(count), start)], set()
    while heap:
        moves, _, state = heapq.heappop(heap)
        if state in done:
            continue
        done.add(state)
        vector, place = state
        if world.is_goal(vector):
            course = []
            while came[state] is not None:
                state, step = came[state]
                course.append((step[0], step[1], step[5]))
            return moves, course[::-1], len(done)
        for step in world.steps:
            after = world.step_on(vector, step)
            if after is None:
                continue
            there = step[1] or place
            cost = (place_weight if there != place else 0) + (lift_weight if step[5] else 0)
            following, total = (after, there), moves + cost
            if total < least.get(following, total + 1):
                least[following], came[following] = total, (state, step)
                heapq.heappush(heap, (total, next(count), following))
    return None, [], len(done)


def count_moves(course, first_station):
    place, places, lifts = first_station, 0, 0
    for _, station, is_lift in course:
        if station and station != place:
            places, place = places + 1, station
        lifts += is_lift
    return places, lifts


def answer(path):
    """The stored answer of a book, and a course."""
    world = World(tomllib.loads(path.read_text(encoding="utf-8")))
    least, course, states = find_least(world)
    if least is None:
        return {"plan": False, "worlds_searched": states}, []
    places, lifts = count_moves(course, world.first_station)
    return {
        "plan": True,
        "least_moves": least,
        "place": places,
        "lift": lifts,
        "least_place": find_least(world, (1, 0))[0],
        "least_lift": find_least(world, (0, 1))[0],
        "worlds_searched": states,
    }, course


def main(arguments):
    if arguments and not arguments[0].startswith("--"):
        found, course = answer(pathlib.Path(arguments[0]))
        for name, station, _ in course:
            print(f"{station or '':8} {name}")
        print(json.dumps(found))
        return 0
    found = {path.name: answer(path)[0] for path in sorted(FOLDER.glob("*.toml"))}
    if "--write" in arguments:
        ANSWERS.write_text(json.dumps(found, indent=2) + "\n", encoding="utf-8")
        return 0
    stored = json.loads(ANSWERS.read_text(encoding="utf-8"))
    differing = [name for name in sorted(found.keys() | stored.keys()) if found.get(name) != stored.get(name)]
    print("\n".join(f"{name}: {found.get(name)}, stored {stored.get(name)}" for name in differing) or "as stored")
    return 1 if differing else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
