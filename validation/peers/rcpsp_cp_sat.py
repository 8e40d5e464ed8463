"""CP-SAT on project scheduling: intervals and one cumulative constraint a resource, from PSPLIB files of one mode."""

from ortools.sat.python import cp_model

from common import Run, solve_cp_sat


def read(path):
    """Durations, demands, successors and capacities, by position."""
    with open(path, encoding="utf-8") as file:
        lines = file.read().splitlines()

    def section(title, skip):
        start = next(at for at, line in enumerate(lines) if line.startswith(title)) + skip
        for line in lines[start:]:
            if not line.strip() or line.startswith("*") or line.startswith("-"):
                return
            yield [int(word) for word in line.split()]

    followers = [row[3:] for row in section("PRECEDENCE RELATIONS", 2)]
    requests = list(section("REQUESTS/DURATIONS", 3))
    capacities = next(section("RESOURCEAVAILABILITIES", 2))
    return [row[2] for row in requests], [row[3:] for row in requests], followers, capacities


run = Run()
durations, demands, followers, capacities = read(run.file)
run.begin()
horizon = sum(durations)
model = cp_model.CpModel()
starts = [model.new_int_var(0, horizon, f"s{i}") for i in range(len(durations))]
intervals = [model.new_fixed_size_interval_var(s, d, f"i{i}") for i, (s, d) in enumerate(zip(starts, durations))]
for i, after in enumerate(followers):
    for j in after:
        model.add(starts[j - 1] >= starts[i] + durations[i])
for r, capacity in enumerate(capacities):
    used = [i for i in range(len(durations)) if demands[i][r] > 0]
    model.add_cumulative([intervals[i] for i in used], [demands[i][r] for i in used], capacity)
model.minimize(starts[-1] + durations[-1])
solve_cp_sat(run, model)
