"""Proves the least cost of the trial worlds with general planners: the books as problems of `unified-planning`.

A book becomes variables (settings, parts, conditions, tasks, place, tool in hand) and actions; nothing is shared with the
program. Fast Downward (`fast-downward-opt`) proves the least cost or that there is no plan.

Cost, in tenths of a second: a change of place is its station's `enter` and the price of a move; a way is its time, and the
price of a move where it moves the lift; another tool in hand is a put and a pick. Work that every plan does is added as it is.

    python3 -m venv v; v/bin/pip install unified-planning up-fast-downward
    v/bin/python prove_trials.py                 proves what is not yet in trials.json
    v/bin/python prove_trials.py 07.toml         proves one and prints its plan
    v/bin/python prove_trials.py --aries 07.toml what Aries says of one (`up-aries`): whether there is a plan
"""

import json
import pathlib
import re
import sys
import time
import tomllib

import unified_planning as up
from unified_planning.engines import PlanGenerationResultStatus as Status
from unified_planning.shortcuts import And, Bool, Fluent, InstantaneousAction, Int, MinimizeActionCosts, Not, OneshotPlanner, Or, Problem

FOLDER = pathlib.Path(__file__).parent
ANSWERS = FOLDER / "trials.json"
LIMIT_S = 400
ARIES_LIMIT_S = 60
MOVE_PRICE = 600
PICK, PUT = 40, 14
BY_HAND = ("hand", "latch", "push clip", "spring clamp")
COMPOSED = ["tiny.toml", "c1.toml", "c1-pins-at-arch.toml", "c1-no-beam.toml", "c1-pole-jack.toml", "c1-floor-jack.toml", "c2.toml", "c2-bracket-above.toml"]
STANDINGS = {"held": {"on", "tight"}, "loose": {"freed", "placed"}, "off": {"off"}}


def key_of(row):
    return row.get("key") or "-".join(re.findall(r"[a-z0-9]+", row["title"].lower()))


def tenths(text):
    number, unit = text.split()
    return round(float(number) * {"s": 10, "min": 600}[unit])


class Trial:
    """A book as variables, each with its values, and actions on them."""

    def __init__(self, book):
        self.stations = {key_of(row): row for row in book["station"]}
        self.settings = {key_of(row): row for row in book.get("setting", [])}
        self.parts = {key_of(row): row for row in book["part"]}
        self.conditions = {key_of(row): row for row in book.get("condition", [])}
        self.tasks = {key_of(row): row for row in book["task"]}
        self.rules = book.get("rule", [])
        self.way_in, self.made = self.close_needs()
        self.domain = {"place": list(self.stations), "phase": ["strip", "refit"]}
        self.start = {"place": next(iter(self.stations)), "phase": "strip"}
        for key, row in self.settings.items():
            self.domain["setting", key] = row["values"]
            self.start["setting", key] = row.get("start", row["values"][0])
        for key, row in self.parts.items():
            assert len(row.get("fixing", [])) <= 1, "parts of these worlds have at most one fixing"
            self.domain["part", key] = ["on", "freed", "off", "placed", "tight"]
            self.start["part", key] = "on"
        for key in self.conditions:
            self.domain["condition", key], self.start["condition", key] = ["no", "made", "undone"], "no"
        for key in self.tasks:
            self.domain["task", key], self.start["task", key] = ["no", "done"], "no"
        turned = [fixing["drive"] for row in self.parts.values() for fixing in row.get("fixing", [])]
        self.tools = sorted({drive for drive in turned if not drive.startswith(BY_HAND)})
        self.domain["hand"], self.start["hand"] = ["none", *self.tools], "none"
        self.actions = []
        self.fixed = 0
        self.first = next(iter(self.stations))
        self.add_moves()
        self.add_ways()
        self.add_parts()
        self.add_conditions()
        self.add_tasks()

    def close_needs(self):
        """The parts that come off and the conditions that are made for the tasks; all else stays as it is."""
        parts, conditions, rows = set(), set(), list(self.tasks.values())
        while rows:
            row = rows.pop()
            more = [self.parts[key] for key in row.get("off_first", []) if key not in parts]
            more += [self.conditions[key] for key in row.get("conditions", []) if key not in conditions]
            parts |= set(row.get("off_first", []))
            conditions |= set(row.get("conditions", []))
            rows += more
        return parts, conditions

    def allowed(self, need):
        if "setting" in need:
            return ("setting", need["setting"]), set(need["is"])
        return ("part", need["part"]), set().union(*(STANDINGS[word] for word in need["is"]))

    def needs(self, rows, station=None):
        """Needs as {variable: values}, those of the station with them."""
        found = {}
        for row in list(rows) + (self.stations[station].get("needs", []) if station else []):
            variable, values = self.allowed(row)
            found[variable] = found.get(variable, set(self.domain[variable])) & values
        if station:
            found["place"] = {station}
        return found

    def add(self, name, needs, sets, cost=0, moments=()):
        """An action; `moments` are values of variables in between, which the rules have to bear as well."""
        self.actions.append((name, needs, sets, cost, moments))

    def add_moves(self):
        for origin in self.stations:
            for to in self.stations:
                if to != origin:
                    cost = tenths(self.stations[to]["enter"]) + MOVE_PRICE
                    self.add(f"go from {origin} to {to}", {"place": {origin}}, {"place": to}, cost)
        for held in self.domain["hand"]:
            for tool in self.tools:
                if tool != held:
                    self.add(f"take {tool} for {held}", {"hand": {held}}, {"hand": tool}, PICK + (PUT if held != "none" else 0))
        off = {("part", key): {"off"} for key in self.way_in} | {("condition", key): {"made"} for key in self.made}
        self.add("begin the refit", off | {"phase": {"strip"}}, {"phase": "refit"})

    def add_ways(self):
        for key, row in self.settings.items():
            own = ("setting", key)
            for way in row.get("way", []):
                needs = self.needs(way.get("needs", []), way.get("station"))
                origins = set(way.get("from", row["values"])) - {way["to"]}
                needs[own] = needs.get(own, origins) & origins
                sets = {("setting", e["setting"]): e["to"] for e in way.get("sets", [])} | {own: way["to"]}
                cost = tenths(way["time"]) + (MOVE_PRICE if row.get("kind") == "lift" else 0)
                self.add(f"{key} = {way['to']}", needs, sets, cost)

    @staticmethod
    def fixing(row):
        return (row.get("fixing") or [{}])[0]

    @staticmethod
    def effects(act):
        return {("setting", e["setting"]): e["to"] for e in act.get("sets", [])}

    def before_on(self, key):
        needs = {}
        for other in sorted(self.way_in):
            row = self.parts[other]
            if key in row.get("off_first", []):
                asks = self.fixing(row).get("tightening", {}).get("needs", [])
                waits = any(need.get("part") == key and "off" not in need["is"] for need in asks)
                needs["part", other] = {"placed", "tight"} if waits else {"tight"}
        for other in self.parts[key].get("on_after", []):
            if other in self.way_in:
                needs["part", other] = needs.get(("part", other), {"placed", "tight"})
        for task, row in self.tasks.items():
            if key in row.get("off_first", []):
                needs["task", task] = {"done"}
        return needs

    def add_parts(self):
        for key in sorted(self.way_in):
            row = self.parts[key]
            own, station, fixing = ("part", key), row.get("station", self.first), self.fixing(row)
            off, on = row.get("taking_off", {}), row.get("setting_on", {})
            loosening, tightening = fixing.get("loosening"), fixing.get("tightening", {})
            self.fixed += tenths(row["lift_time"]) + tenths(row["place_time"])
            tool = {"hand": {fixing["drive"]}} if fixing.get("drive") in self.tools else {}
            before = {("part", other): {"off"} for other in row.get("off_first", [])}
            before |= {("condition", other): {"made"} for other in row.get("conditions", [])}
            strip, refit = {"phase": {"strip"}}, {"phase": {"refit"}}
            if loosening is not None:
                needs = self.needs(loosening.get("needs", []), station) | before | tool | strip | {own: {"on"}}
                self.add(f"free {key}", needs, self.effects(loosening) | {own: "freed"})
            begin = "on" if loosening is None else "freed"
            needs = self.merge(self.needs(off.get("needs", []), station), before | tool | strip | {own: {begin}})
            self.add(f"off {key}", needs, self.effects(off) | {own: "off"}, moments=[{own: "freed"}])
            needs = self.merge(self.needs(on.get("needs", []), station), self.before_on(key) | tool | refit | {own: {"off"}})
            if not tightening:
                # Nothing is asked between setting it in place and its figure.
                self.add(f"on {key}", needs, self.effects(on) | {own: "tight"}, moments=[{own: "placed"}])
                continue
            self.add(f"on {key}", needs, self.effects(on) | {own: "placed"})
            needs = self.merge(self.needs(tightening.get("needs", []), station), tool | refit | {own: {"placed"}})
            self.add(f"tight {key}", needs, self.effects(tightening) | {own: "tight"})

    @staticmethod
    def merge(one, other):
        merged = dict(one)
        for variable, values in other.items():
            merged[variable] = merged.get(variable, values) & values
        return merged

    def add_conditions(self):
        for key in sorted(self.made):
            row = self.conditions[key]
            own, making, undoing = ("condition", key), row.get("making", {}), row.get("undoing", {})
            self.fixed += tenths(row.get("establish_time", "0 s")) + tenths(row.get("restore_time", "0 s"))
            needs = self.needs(making.get("needs", []), row.get("station", self.first)) | self.before_made(row) | {own: {"no"}, "phase": {"strip"}}
            self.add(f"make {key}", needs, self.effects(making) | {own: "made"})
            back = {("part", part): {"tight"} for part in self.way_in if key in self.parts[part].get("conditions", [])}
            needs = self.needs(undoing.get("needs", []), row.get("station", self.first)) | back | {own: {"made"}, "phase": {"refit"}}
            self.add(f"undo {key}", needs, self.effects(undoing) | {own: "undone"})

    @staticmethod
    def before_made(row):
        """What has to be off or made before a condition is made."""
        needs = {("part", part): {"off"} for part in row.get("off_first", [])}
        return needs | {("condition", other): {"made"} for other in row.get("conditions", [])}

    def add_tasks(self):
        for key, row in self.tasks.items():
            self.fixed += tenths(row.get("work", "0 s"))
            needs = {("part", part): {"off"} for part in row.get("off_first", [])}
            needs = self.merge(needs, self.needs(row.get("doing", {}).get("needs", []), row.get("station", self.first)))
            self.add(key, needs | {("task", key): {"no"}, "phase": {"refit"}}, self.effects(row.get("doing", {})) | {("task", key): "done"})

    def goal(self):
        goal = {("part", key): {"tight"} for key in self.way_in}
        goal |= {("condition", key): {"undone"} for key in self.made if "restore" in self.conditions[key]}
        goal |= {("task", key): {"done"} for key in self.tasks}
        for key, row in self.settings.items():
            goal["setting", key] = set(row.get("end", [row.get("start", row["values"][0])]))
        return goal

    def clauses(self, needs, sets):
        """What has to hold before an action so that every rule bears what is so after it: a list of alternatives each."""
        found = []
        for rule in self.rules:
            during = [self.allowed(need) for need in rule.get("while", [])]
            if "stays_still" in rule:
                moved = [key for key in rule["stays_still"] if ("setting", key) in sets]
                if moved:
                    found.append([(variable, set(self.domain[variable]) - values) for variable, values in during])
                continue
            asleep = [(variable, set(self.domain[variable]) - values) for variable, values in during]
            if "at_least_one" in rule:
                holds = [self.allowed(need) for need in rule["at_least_one"]]
            else:
                never = [self.allowed(need) for need in rule["never_together"]]
                holds = [(variable, set(self.domain[variable]) - values) for variable, values in never]
            literals = asleep + holds
            if any(variable in sets for variable, _ in literals):
                if any(sets.get(variable) in values for variable, values in literals if variable in sets):
                    continue
                found.append([(variable, values) for variable, values in literals if variable not in sets])
        return found


def problem_of(trial):
    """The trial as a problem of unified-planning, with a value as a boolean."""
    problem, fluents = Problem("trial"), {}
    plain = lambda words: re.sub(r"[^a-z0-9]+", "_", words.lower())
    for variable, values in trial.domain.items():
        for value in values:
            name = plain("v_" + "_".join(variable if isinstance(variable, tuple) else (variable,)) + "_" + value)
            fluents[variable, value] = Fluent(name)
            problem.add_fluent(fluents[variable, value], default_initial_value=Bool(False))
        problem.set_initial_value(fluents[variable, trial.start[variable]], True)
    costs = {}

    def is_any(variable, values):
        known = [value for value in trial.domain[variable] if value in values]
        if len(known) == len(trial.domain[variable]):
            return None
        return Or(fluents[variable, value]() for value in known) if known else Bool(False)

    for number, (name, needs, sets, cost, moments) in enumerate(trial.actions):
        free = [variable for variable in sets if len(needs.get(variable, trial.domain[variable])) > 1]
        variants = [{}]
        for variable in free:
            values = needs.get(variable, trial.domain[variable])
            variants = [dict(variant, **{"_": 0}) | {variable: value} for variant in variants for value in sorted(values)]
        for at, variant in enumerate(variants):
            variant.pop("_", None)
            exact = needs | {variable: {value} for variable, value in variant.items()}
            action = InstantaneousAction(plain(f"a{number}_{at}_{name}"))
            alternatives = trial.clauses(exact, sets)
            for moment in moments:
                alternatives += trial.clauses(exact, moment)
            conditions = [is_any(variable, values) for variable, values in exact.items()]
            for clause in alternatives:
                words = [is_any(variable, values) for variable, values in clause]
                if None not in words:
                    conditions.append(Or(words) if words else Bool(False))
            conditions = [condition for condition in conditions if condition is not None]
            if any(condition.is_false() for condition in map(lambda c: c.simplify() if hasattr(c, "simplify") else c, conditions) if hasattr(condition, "is_false")):
                continue
            for condition in conditions:
                action.add_precondition(condition)
            for variable, value in sets.items():
                before = next(iter(exact[variable]))
                if before != value:
                    action.add_effect(fluents[variable, before], False)
                    action.add_effect(fluents[variable, value], True)
            problem.add_action(action)
            costs[action] = Int(cost)
    for variable, values in trial.goal().items():
        problem.add_goal(is_any(variable, values) or Bool(True))
    problem.add_quality_metric(MinimizeActionCosts(costs))
    return problem, costs


def solve(problem, engine, limit_s, **parameters):
    with OneshotPlanner(name=engine, **parameters) as planner:
        started = time.time()
        result = planner.solve(problem, timeout=limit_s)
        return result, round(time.time() - started, 1)


PROVEN_NONE = (Status.UNSOLVABLE_PROVEN, Status.UNSOLVABLE_INCOMPLETELY)


def prove(path, shows=False):
    trial = Trial(tomllib.loads(path.read_text(encoding="utf-8")))
    problem, costs = problem_of(trial)
    result, seconds = solve(problem, "fast-downward-opt", LIMIT_S)
    answer = {"parts": len(trial.parts), "fast_downward": result.status.name, "seconds": seconds}
    if result.plan is not None:
        steps = [action.action for action in result.plan.actions]
        answer["plan"] = True
        answer["cost"] = trial.fixed + sum(costs[problem.action(step.name)].constant_value() for step in steps)
        answer["fixed"] = trial.fixed
        answer["moves"] = sum(bool(re.match(r"a\d+_\d+_(go_from|lift)_", step.name)) for step in steps)
        if shows:
            print("\n".join(step.name for step in steps))
    elif result.status in PROVEN_NONE:
        answer["plan"] = False
    return answer


def ask_aries(path):
    """What Aries says within its limit of whether there is a plan."""
    problem, _ = problem_of(Trial(tomllib.loads(path.read_text(encoding="utf-8"))))
    problem.clear_quality_metrics()
    result, _ = solve(problem, "aries", ARIES_LIMIT_S)
    return result.status.name


def main(arguments):
    up.shortcuts.get_environment().credits_stream = None
    if arguments and arguments[0] == "--aries":
        print(ask_aries(FOLDER / "trials" / arguments[1]))
        return 0
    if arguments:
        path = FOLDER / "trials" / arguments[0]
        print(prove(path if path.exists() else FOLDER / arguments[0], shows=True))
        return 0
    answers = json.loads(ANSWERS.read_text()) if ANSWERS.exists() else {}
    for path in sorted((FOLDER / "trials").glob("*.toml")) + [FOLDER / name for name in COMPOSED]:
        if path.name not in answers or "plan" not in answers[path.name]:
            answers[path.name] = prove(path)
            print(path.name, answers[path.name], flush=True)
            ANSWERS.write_text(json.dumps(answers, indent=1, sort_keys=True) + "\n")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
