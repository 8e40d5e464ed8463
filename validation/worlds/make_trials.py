"""Writes the sixty trial worlds of the folder `trials`: books of 8 to 20 parts by fixed seeds, some of which no order keeps.

Each has a lift, places at heights, mountings with a beam or a jack, a pin that goes in at a mark, a drained circuit with its
tap, a wheel, tightenings that ask for other parts, and up to four tools; all invented.

    python make_trials.py            writes them
    python make_trials.py --check    compares with what is there
"""

import pathlib
import random
import sys

FOLDER = pathlib.Path(__file__).parent / "trials"
COUNT = 60
SIZES = [8, 9, 10, 10, 11, 12, 12, 13, 14, 15, 16, 20]
TOOLS = [8, 10, 13, 17]
WARNING = '{ word = "WARNING", text = "A vehicle that slips off its pads crushes: rock it clear of the ground first." }'


def text_list(words):
    return "[" + ", ".join(f'"{word}"' for word in words) + "]"


def need(kind, name, *values):
    return f'{{ {kind} = "{name}", is = {text_list(values)} }}'


class TrialWorld:
    """One world while it is being thrown together."""

    def __init__(self, number):
        self.dice = random.Random(1000 + number)
        self.number = number
        self.size = SIZES[number % len(SIZES)]
        self.lines = [
            'format   = "traywright-book/2"',
            f'title    = "Trial world {number:02}"',
            'origin   = "invented for trials of plans; no real engine"',
            "invented = true",
        ]
        self.parts, self.places, self.wanted, self.before = [], {}, set(), {}
        self.tools = TOOLS[: 2 + number % 3] if self.size < 12 else TOOLS[: 1 + number % 2]
        # One in five is spoilt on purpose, each in one of five ways.
        self.spoilt = (number // 5) % 5 if number % 5 == 4 else None

    def add(self, *lines):
        self.lines += ["", *lines]

    def chance(self, of):
        return self.dice.random() < of

    def make(self):
        for title, heights in [("over", ("ground",)), ("arch", ("chest",)), ("under", ("up",))]:
            self.add("[[station]]", f'title = "{title}"', f'enter = "{self.dice.choice([20, 30, 40])} s"',
                     f'needs = [{need("setting", "lift", *heights)}]')
        self.add("[[station]]", 'title = "bench side"', 'enter = "25 s"')
        self.add_lift()
        self.supports = self.add_supports()
        self.has_pin = self.chance(0.6)
        if self.has_pin:
            self.add_pin()
        self.has_circuit = self.chance(0.7)
        if self.has_circuit:
            self.add_circuit()
        self.add_parts()
        self.add_tasks()
        return "\n".join(self.lines) + "\n"

    def add_lift(self):
        self.add("[[setting]]", 'title  = "lift"', 'kind   = "lift"', 'values = ["ground", "chest", "up"]')
        for to in ["ground", "chest", "up"]:
            self.lines += ["  [[setting.way]]", f'  to = "{to}"', f'  text = "Bring the lift to {to}."',
                           f'  time = "{self.dice.choice([40, 50])} s"', f"  cautions = [{WARNING}]"]

    def add_supports(self):
        """The mountings' titles with what may carry in their stead."""
        supports = []
        for side in ["right", "left"][: self.dice.choice([1, 1, 2])]:
            kind = "jack" if self.chance(0.2) else "beam"
            place = {"beam": "over", "jack": "under"}[kind]
            title = f"{side} {kind}"
            key = f"{side}-{kind}"
            self.add("[[setting]]", f'title  = "{title}"', 'kind   = "support"', 'values = ["away", "carrying"]')
            if self.spoilt != 0:
                self.lines += ["  [[setting.way]]", '  to = "carrying"', f'  text = "Take the weight with the {title}."',
                               f'  station = "{place}"', '  time = "90 s"']
                self.lines += ["  [[setting.way]]", '  to = "away"', f'  text = "Take the {title} away."',
                               f'  station = "{place}"', '  time = "60 s"',
                               f'  needs = [{need("part", side + "-mounting", "held")}]']
            else:
                # Spoilt: nothing brings the support to where it carries but what needs the mounting off.
                self.lines += ["  [[setting.way]]", '  to = "carrying"', f'  text = "Take the weight with the {title}."',
                               f'  station = "{place}"', f'  needs = [{need("part", side + "-mounting", "off")}]', '  time = "90 s"']
                self.lines += ["  [[setting.way]]", '  to = "away"', f'  text = "Take the {title} away."', '  time = "60 s"']
            self.add("[[rule]]", f'title = "something carries the {side} end"',
                     f'at_least_one = [{need("part", side + "-mounting", "held")}, {need("setting", key, "carrying")}]')
            if kind == "jack":
                self.add("[[rule]]", f'title = "the lift stays while the {title} carries"', 'stays_still = ["lift"]',
                         f'while = [{need("setting", key, "carrying")}]')
            supports.append((side, kind))
        return supports

    def add_pin(self):
        place = self.dice.choice(["arch", "under", "bench side"])
        self.add("[[setting]]", 'title = "crank"', 'values = ["anywhere", "at the mark"]', 'end = ["anywhere", "at the mark"]')
        self.lines += ["  [[setting.way]]", '  to = "at the mark"', '  text = "Turn the crank to its mark."',
                       '  station = "arch"', '  time = "40 s"', f'  needs = [{need("setting", "pin", "out")}]']
        self.add("[[setting]]", 'title = "pin"', 'kind = "put-in"', 'values = ["out", "in"]')
        self.lines += ["  [[setting.way]]", '  to = "in"', '  text = "Put the pin in."', f'  station = "{place.replace(" ", "-")}"', '  time = "15 s"',
                       f'  needs = [{need("setting", "crank", "at the mark")}]']
        self.lines += ["  [[setting.way]]", '  to = "out"', '  text = "Take the pin out."', f'  station = "{place.replace(" ", "-")}"', '  time = "10 s"']

    def add_circuit(self):
        self.add("[[setting]]", 'title = "tap"', 'values = ["closed", "open"]')
        self.lines += ["  [[setting.way]]", '  to = "closed"', '  text = "Close the tap."', '  station = "under"', '  time = "10 s"']
        self.add("[[condition]]", 'title = "coolant drained"', 'kind = "drained"', 'establish = "Drain the coolant."',
                 'restore = "Fill the coolant."', 'establish_time = "5 min"', 'restore_time = "8 min"', 'station = "under"',
                 'making = { sets = [{ setting = "tap", to = "open" }] }',
                 f'undoing = {{ needs = [{need("setting", "tap", "closed")}] }}')

    def add_part(self, title, station, off_first, kind="other", acts=(), fixing=(), conditions=(), on_after=()):
        tool = self.dice.choice(self.tools)
        lines = ["[[part]]", f'title = "{title}"', f'kind = "{kind}"', f'station = "{station.replace(" ", "-")}"', 'mass = "1.0 kg"',
                 f'off_first = {text_list(off_first)}', f'lift_time = "{self.dice.choice([10, 20, 30])} s"',
                 f'place_time = "{self.dice.choice([15, 30, 45])} s"', *acts]
        if conditions:
            lines.append(f"conditions = {text_list(conditions)}")
        if on_after:
            lines.append(f"on_after = {text_list(on_after)}")
        lines += ["  [[part.fixing]]", f'  title = "{title} bolts"', f"  count = {self.dice.choice([1, 2, 4])}", '  thread = "M8"',
                  f'  drive = "hexagon {tool} mm"', '  room = "open"', '  engagement = 14', '  tighten = "by feel"',
                  '  lubrication = "dry"', '  source = "invented figure"', *fixing]
        self.add(*lines)
        key = title.replace(" ", "-")
        self.parts.append(key)
        self.places[key] = station.replace(" ", "-")
        self.wanted.update(off_first)
        self.before[key] = set(off_first).union(*(self.before[part] for part in off_first))

    def add_parts(self):
        self.add_part("undertray", "under", [], kind="cover")
        if self.chance(0.5):
            self.add_wheel()
        on_jack = [side for side, kind in self.supports if kind == "jack"]
        for side, _ in self.supports:
            if side not in on_jack:
                self.add_part(f"{side} mounting", self.dice.choice(["over", "arch", "bench side"]), [], kind="mounting")
        self.add_drive()
        while len(self.parts) < self.size - len(on_jack):
            self.add_plain_part(len(self.parts))
        # What stands on a jack comes off last and goes on first, or the lift could not move.
        for side in on_jack:
            where = "arch" if self.spoilt == 1 else "under"
            self.add_part(f"{side} mounting", where, ["undertray", self.parts[-1]][: self.dice.choice([1, 2])], kind="mounting")

    def add_wheel(self):
        ground, chest = need("setting", "lift", "ground"), need("setting", "lift", "chest")
        # The wheel is worked from the bench side, which is there at every height.
        self.add_part("wheel", "bench side", [], kind="wheel",
                      acts=(f"taking_off = {{ needs = [{chest}] }}", f"setting_on = {{ needs = [{chest}] }}"),
                      fixing=(f"  loosening = {{ needs = [{ground}] }}", f"  tightening = {{ needs = [{ground}] }}"))
        self.add("[[rule]]", 'title = "never on the ground with the wheel off"',
                 f'never_together = [{ground}, {need("part", "wheel", "off")}]')

    def add_drive(self):
        pin = need("setting", "pin", "in")
        pinned = (f"taking_off = {{ needs = [{pin}] }}", f"setting_on = {{ needs = [{pin}] }}") if self.has_pin else ()
        loosening = ()
        if self.has_pin:
            loosening = (f'  loosening = {{ needs = [{need("setting", "pin", "out")}], sets = [{{ setting = "crank", to = "anywhere" }}] }}',
                         f'  tightening = {{ needs = [{need("setting", "pin", "out")}] }}')
        self.add_part("pulley", "arch", [], fixing=loosening)
        held = need("part", "belt", "held")
        asks = [held]
        if self.spoilt == 2:
            # Spoilt: the belt goes on at the arch only while the tensioner is tight, and the tensioner is tightened on the belt.
            pinned = (f'setting_on = {{ needs = [{need("part", "tensioner", "held")}] }}',)
        self.add_part("tensioner", "arch", ["pulley"], kind="tensioner", fixing=(f'  tightening = {{ needs = [{", ".join(asks)}] }}',))
        self.add_part("belt", "arch", ["tensioner"] + [f"{side}-mounting" for side, kind in self.supports if kind == "beam" and self.chance(0.6)],
                      kind="belt", acts=pinned)
        conditions = ["coolant-drained"] if self.has_circuit else []
        self.add_part("pump", self.dice.choice(["arch", "bench side"]), ["belt"], kind="pump", conditions=conditions)

    def add_plain_part(self, at):
        station = self.dice.choice(["over", "arch", "under", "bench side"])
        near = self.parts[-4:]
        off_first = self.dice.sample(near, self.dice.choice([1, 1, 2]))
        acts, fixing = (), ()
        # Tightening asks for what goes on next, or for something that has nothing to do with it.
        before = set().union(*(self.before[part] for part in off_first))
        apart = [part for part in self.parts if part in off_first or part not in before]
        if self.chance(0.3):
            other = self.dice.choice(apart)
            if self.spoilt == 3:
                acts = (f'setting_on = {{ needs = [{need("part", other, "off")}] }}', f'on_after = ["{other}"]')
            else:
                fixing = (f'  tightening = {{ needs = [{need("part", other, "held", "loose")}] }}',)
        self.add_part(f"part {at}", station, off_first, acts=acts, fixing=fixing)

    def add_tasks(self):
        # Only what nothing else waits for: the rest comes off on the way to it.
        for part in [part for part in self.parts if part not in self.wanted]:
            self.add("[[task]]", f'title = "look at the {part}"', f'off_first = ["{part}"]', f'station = "{self.places[part]}"',
                     f'work = "{self.dice.choice([30, 60])} s"')
        if self.spoilt == 4:
            self.add("[[rule]]", 'title = "never both off"',
                     f'never_together = [{need("part", self.parts[0], "off")}, {need("part", self.parts[-1], "off")}]')


def main(arguments):
    FOLDER.mkdir(exist_ok=True)
    differing = []
    for number in range(COUNT):
        text = TrialWorld(number).make()
        path = FOLDER / f"{number:02}.toml"
        if "--check" not in arguments:
            path.write_text(text, encoding="utf-8")
        elif not path.exists() or path.read_text(encoding="utf-8") != text:
            differing.append(path.name)
    print("\n".join(differing) or "as made")
    return 1 if differing else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
