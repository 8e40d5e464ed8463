"""Writes the changed worlds of this folder from `c1.toml` and `c2.toml`, each by the few texts that differ.

    python make_worlds.py            writes them
    python make_worlds.py --check    compares with what is there
"""

import pathlib
import sys

FOLDER = pathlib.Path(__file__).parent


def replaced(text, pairs):
    for old, new in pairs:
        assert old in text, f"`{old}` is not in the book"
        text = text.replace(old, new)
    return text


def between(text, start, end):
    """The stretch from one text up to and with another."""
    first = text.index(start)
    return text[first : text.index(end, first) + len(end)]


def with_jack(text, title, place):
    """The first world with a jack for the beam, set under the engine while the lift is at one height."""
    support = f"""# support: a jack
[[setting]]
title  = "jack"
kind   = "support"
values = ["away", "carrying"]

  [[setting.way]]
  to       = "carrying"
  text     = "{title}, wood between, and take just the weight of the engine."
  station  = "under"
  needs    = [{{ setting = "lift", is = ["{place}"] }}, {{ part = "undertray", is = ["off"] }}]
  time     = "0 s"
  cautions = [{{ word = "DANGER", text = "A jack holds nothing that somebody lies under: stands carry, and the lift stays still while it is set." }}]

  [[setting.way]]
  to      = "away"
  text    = "Take the jack away."
  station = "under"
  needs   = [{{ setting = "lift", is = ["{place}"] }}, {{ part = "right-mounting", is = ["held"] }}]
  time    = "0 s"

[[rule]]
title        = "something carries the right end of the engine"
at_least_one = [{{ part = "right-mounting", is = ["held"] }}, {{ setting = "jack", is = ["carrying"] }}]

[[rule]]
title       = "the lift stays where it is while the jack carries"
stays_still = ["lift"]
while       = [{{ setting = "jack", is = ["carrying"] }}]
# end of support"""
    return replaced(text, [
        (between(text, "# support: the beam", "# end of support"), support),
        ('{ setting = "beam", is = ["away"] }, # beam', '{ setting = "jack", is = ["away"] },'),
    ])


def changed_worlds():
    c1 = (FOLDER / "c1.toml").read_text(encoding="utf-8")
    c2 = (FOLDER / "c2.toml").read_text(encoding="utf-8")
    title = 'title    = "C1, timing belt and water pump"'
    called = lambda what: (title, title[:-1] + f', {what}"')
    pins = [
        called("both pins reached at the arch"),
        ('  station = "over" # cam pin\n  needs   = [', '  station = "arch"\n  needs   = [{ setting = "lift", is = ["chest"] }, '),
        ('  station = "under" # crank pin\n  needs   = [{ setting = "lift", is = ["up"] }, ',
         '  station = "arch"\n  needs   = [{ setting = "lift", is = ["chest"] }, '),
    ]
    beam = between(c1, "# support: the beam", "[[rule]]").removesuffix("[[rule]]")
    no_beam = [
        called("no beam"),
        (beam, ""),
        (', { setting = "beam", is = ["carrying"] }]', "]"),
        ('    { setting = "beam", is = ["away"] }, # beam\n', ""),
    ]
    low_under = between(c1, 'title = "under"', "]").replace('"up"', '"low", "up"')
    floor = replaced(c1, [called("a floor jack at low"), (between(c1, 'title = "under"', "]"), low_under)])
    pole = replaced(c1, [called("a pole jack only")])
    bracket = between(c2, 'title      = "bracket"', 'off_first  = ["undertray"]\n')
    above = bracket.replace('"under"', '"over"').replace('off_first  = ["undertray"]\n', "")
    return {
        "c1-pins-at-arch.toml": replaced(c1, pins),
        "c1-no-beam.toml": replaced(c1, no_beam),
        "c1-pole-jack.toml": with_jack(pole, "Set the pole jack under the engine", "up"),
        "c1-floor-jack.toml": with_jack(floor, "Set the floor jack under the engine", "low"),
        "c2-bracket-above.toml": replaced(c2, [
            (bracket, above),
            ('title    = "C2, two of four injectors"', 'title    = "C2, two of four injectors, bracket reached from above"'),
        ]),
    }


def main(arguments):
    differing = []
    for name, text in changed_worlds().items():
        path = FOLDER / name
        if "--check" not in arguments:
            path.write_text(text, encoding="utf-8")
        elif not path.exists() or path.read_text(encoding="utf-8") != text:
            differing.append(name)
    print("\n".join(differing) or "as made")
    return 1 if differing else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
